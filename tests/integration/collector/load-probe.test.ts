import { setImmediate as nextTurn } from 'node:timers/promises';
import mqtt from 'mqtt';
import { expect, onTestFinished, test } from 'vitest';
import { createEmbeddedBroker } from '../../../collector/intake/embedded-broker.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import { countdown } from '../../../dashboard/web/unload/underway-words.ts';
import { unloadWords } from '../../../dashboard/web/wall/unload-shown.ts';
import { thermalOf } from '../../../shared/heat/container.ts';
import { createLoad } from '../../../shared/heat/load.ts';
import type { LiveState } from '../../../shared/live.ts';
import { createManualClock } from '../../../shared/manual-clock.ts';
import { hourMs, minuteMs } from '../../../shared/time.ts';
import { smallFarm, startAt } from '../../tools/alarm-site.ts';
import { until } from '../../tools/until.ts';
import { wholeSite } from '../../tools/whole-site.ts';
import { build } from '../../unit/dashboard/server/build.ts';

const plain = { decoder: 'plain', at: 'warm-room', everyS: 600 } as const;
const farm = smallFarm({
  containers: [
    {
      ...{ id: 'block', name: 'Block 2.3 kg', kind: 'block', massKg: 2.3, volumeL: 3.4 },
      shape: { form: 'brick', widthM: 0.12, depthM: 0.12, heightM: 0.24 },
    },
  ],
  sensors: [
    { ...plain, id: 'air', topic: 'air', channels: [{ quantity: 'temperature', unit: 'degC' }] },
    {
      ...{ ...plain, id: 'stick', name: 'Long probe', topic: 'stick', inLoads: true },
      channels: [{ quantity: 'probe-temperature', unit: 'degC' }],
    },
  ],
});
const airC = 24;
const stepMs = 10 * minuteMs;

test('what a probe tells over MQTT moves the hour on the phone and on the wall; silent or fallen out it says so', async () => {
  const clock = createManualClock(startAt);
  const broker = createEmbeddedBroker({ clock, port: 0, log: () => {} });
  const { site } = await wholeSite(farm, { clock, transport: broker });
  const device = await mqtt.connectAsync(`mqtt://127.0.0.1:${broker.address().port}`, { protocolVersion: 4 });
  onTestFinished(() => device.endAsync(true));
  const { get, post } = build({ desk: site.desk });

  const step = async (probeC: number | null) => {
    clock.advanceBy(stepMs);
    // Acknowledged is stored.
    await device.publishAsync('air', String(airC + (clock.now() % (2 * stepMs) === 0 ? 0.1 : 0)), { qos: 1 });
    if (probeC !== null) await device.publishAsync('stick', probeC.toFixed(1), { qos: 1 });
    await nextTurn();
  };
  /** What both screens show within a minute of the last reading. */
  const shown = async () => {
    clock.advanceBy(minuteMs);
    await nextTurn();
    const live: LiveState = (await get('/api/sites/farm/live')).json();
    const view = live.unloads.open[0]!;
    const place = { now: clock.now(), zone: live.farm.site.timeZone, temperature: 'C' as const };
    return {
      state: view.now!,
      plan: view.plan,
      phone: countdown(view, place).value,
      wall: unloadWords(view, { ...place, room: 'Warm room' }),
    };
  };

  for (let count = 0; count < 12; count++) await step(airC + 0.2);
  const said = await post('/api/sites/farm/unloads/events', {
    ...{
      kind: 'begun',
      id: 'event-begun',
      t: clock.now(),
      who: 'Rowan',
      unload: 'load-1',
      room: 'warm-room',
    },
    load: { container: 'block', count: 6, startC: 96 },
    options: { fan: false, extraCoolingW: 0 },
  });
  expect(said.statusCode).toBe(201);
  await until(systemClock, () => site.desk.live().unloads.open[0]?.plan !== null);
  const at = clock.now();
  const begun = await shown();
  const byModel = begun.state.inoculateAt!.likely;
  // The farm file puts this probe into loads of this room; nobody had to name it.
  expect(begun.state.probe).toMatchObject({ channel: 'stick.probe-temperature' });
  // What it told of the air before, in the same minute too, is not of this load.
  expect(begun.state.remarks).toEqual([]);

  // A load that cools far more slowly than is believed of loads.
  const load = createLoad({
    thermal: thermalOf(farm.containers.get('block')!),
    count: 1,
    startC: 96,
    filmFactor: 0.35,
  });
  const truth = load.clone();
  let metAt = at;
  for (; truth.coreC() > 27; metAt += stepMs) truth.step(airC, stepMs / 1000);
  for (let elapsedMs = 0; elapsedMs < 2.5 * hourMs; elapsedMs += stepMs) {
    load.step(airC, stepMs / 1000);
    await step(load.coreC());
  }
  const probed = await shown();
  expect(probed.state.probe).toMatchObject({ state: 'heard', at: clock.now() - minuteMs });
  expect(probed.state.inoculateAt!.likely).toBeGreaterThan(byModel + hourMs / 2);
  // It had learned the greater part of how slow this one is.
  expect(probed.state.inoculateAt!.likely).toBeGreaterThan(byModel + 0.5 * (metAt - byModel));
  const widthMs = ({ state: { inoculateAt } }: typeof probed) => inoculateAt!.latest - inoculateAt!.earliest;
  expect(widthMs(probed)).toBeLessThan(0.8 * widthMs(begun));
  expect(Math.abs(probed.state.inoculateAt!.likely - metAt)).toBeLessThan(0.1 * (metAt - at));
  expect(probed.phone).toBe(probed.wall.value);
  expect(probed.wall).toMatchObject({ to: 'to 27\u00a0°C', probe: null });

  // It tells nothing any more: the load goes on by what it had taught.
  for (let count = 0; count < 3; count++) {
    load.step(airC, stepMs / 1000);
    await step(null);
  }
  const silent = await shown();
  expect(silent.state.probe!.state).toBe('silent');
  expect(silent.state.remarks.join()).toMatch(
    /The probe Long probe has told nothing for \d+ min: from there on/,
  );
  expect(silent.wall).toMatchObject({ to: 'to 27\u00a0°C', probe: 'its probe is silent' });
  expect(Math.abs(silent.state.inoculateAt!.likely - probed.state.inoculateAt!.likely)).toBeLessThan(
    15 * minuteMs,
  );

  // It speaks again, from the floor.
  await step(airC + 0.4);
  const fallen = await shown();
  expect(fallen.state.probe!.state).toBe('aside');
  expect(fallen.state.remarks.join()).toContain('the probe has come out of the load');
  expect(fallen.wall.probe).toBe('its probe is not in it');
  expect(Math.abs(fallen.state.inoculateAt!.likely - probed.state.inoculateAt!.likely)).toBeLessThan(
    15 * minuteMs,
  );
}, 60_000);
