import { expect, test } from 'vitest';
import type { LiveChange } from '../../../../shared/live.ts';
import { minuteMs, secondMs } from '../../../../shared/time.ts';
import { smallFarm } from '../../../tools/alarm-site.ts';
import { wholeSite } from '../../../tools/whole-site.ts';

const channel = 'cart.probe-temperature';
const farm = smallFarm({
  sensors: [
    {
      ...{ id: 'cart', topic: 'cart', decoder: 'plain', at: 'warm-room', everyS: 30, inLoads: true },
      channels: [{ quantity: 'probe-temperature', unit: 'degC' }],
    },
    {
      ...{ id: 'air', topic: 'air', decoder: 'plain', at: 'warm-room', everyS: 30 },
      channels: [{ quantity: 'temperature', unit: 'degC' }],
    },
  ],
  containers: [
    {
      ...{ id: 'bag', name: 'bag', kind: 'bag', massKg: 2.3, volumeL: 3.5 },
      shape: { form: 'cylinder', diameterM: 0.14, heightM: 0.24 },
    },
  ],
});

test('a probe that says nothing is idle while it stands in no load, and silent while it stands in one', async () => {
  const { site, clock, say } = await wholeSite(farm);
  const told: LiveChange[] = [];
  site.desk.onChange((change) => told.push(change));
  const toldLast = () => told.flatMap(({ channels }) => channels?.[channel] ?? []).at(-1);
  const load = { container: 'bag', count: 4, startC: 96 };
  const event = (id: string) => ({ id, t: clock.now(), who: 'Ida', unload: 'load-1' });
  const isNow = () => site.desk.live().channels;

  say('cart', '24.5');
  say('air', '24.1');
  expect(isNow()[channel]).toMatchObject({ silent: false });
  expect(isNow()[channel]).not.toHaveProperty('idle');
  clock.advanceBy(2 * minuteMs);
  expect(isNow()).toMatchObject({
    [channel]: { value: 24.5, silent: false, idle: true },
    'air.temperature': { silent: true },
  });
  expect(isNow()['air.temperature']).not.toHaveProperty('idle');
  expect(toldLast()).toMatchObject({ silent: false, idle: true });

  const options = { fan: false, extraCoolingW: 0 };
  site.desk.unloads.record({ ...event('begun-12'), kind: 'begun', room: 'warm-room', load, options });
  clock.advanceBy(secondMs);
  expect(isNow()[channel]).toMatchObject({ silent: true });
  expect(isNow()[channel]).not.toHaveProperty('idle');
  expect(toldLast()).toMatchObject({ silent: true });

  site.desk.unloads.record({ ...event('ended-12'), kind: 'ended', because: 'hand' });
  clock.advanceBy(secondMs);
  expect(isNow()[channel]).toMatchObject({ silent: false, idle: true });
  expect(toldLast()).toMatchObject({ silent: false, idle: true });
});
