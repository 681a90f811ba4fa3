import { describe, expect, test } from 'vitest';
import { groupLife } from '../../../alerts/conditions/group-silence.ts';
import type { FarmFileInput } from '../../../shared/farm/schema.ts';
import type { WatchedUnload } from '../../../shared/unload/watched.ts';
import { alarmSite, smallFarm } from '../../tools/alarm-site.ts';

const sensor = (id: string, at: string, gateway?: string): NonNullable<FarmFileInput['sensors']>[number] => ({
  ...{ id, at, topic: id, decoder: 'plain', everyS: 30, ...(gateway && { gateway }) },
  channels: [{ quantity: 'temperature', unit: 'degC' }],
});
const farm = smallFarm({
  sensors: [
    sensor('w1', 'warm-room'),
    sensor('w2', 'A1', 'attic'),
    sensor('w3', 'A2', 'attic'),
    sensor('c1', 'cold-room'),
    sensor('c2', 'cold-room'),
  ],
});
const sensors = ['w1', 'w2', 'w3', 'c1', 'c2'];

/** So many seconds in which all but some speak, each at its own moment of the half minute. */
function live(site: ReturnType<typeof alarmSite>, seconds: number, quiet: readonly string[], after = 0) {
  let second = after;
  site.run(seconds, () => {
    second += 1;
    sensors.forEach((id, n) => {
      if (quiet.includes(id) || second % 30 !== n * 5) return;
      site.say(`${id}.temperature`, (id < 'd' && id > 'c' ? 5 : 24) + (second % 60) / 100);
    });
  });
}
const ringing = (site: ReturnType<typeof alarmSite>) =>
  site.book
    .views()
    .filter((view) => view.ringing)
    .map(({ id }) => id)
    .sort();

describe('a probe that is put into hot loads', () => {
  const stick: NonNullable<FarmFileInput['sensors']>[number] = {
    ...{ id: 'stick', at: 'warm-room', topic: 'stick', decoder: 'json', everyS: 60, inLoads: true },
    channels: [
      { quantity: 'probe-temperature', unit: 'degC', pointer: '/t' },
      { quantity: 'battery', unit: '%', pointer: '/b' },
    ],
  };
  const small = smallFarm({
    sensors: [sensor('w1', 'warm-room'), stick, sensor('c1', 'cold-room'), sensor('c2', 'cold-room')],
  });
  const probe = 'stick.probe-temperature';
  const load = (site: ReturnType<typeof alarmSite>): WatchedUnload => ({
    ...{ id: 'unload-1', room: 'warm-room', load: '40 × Block 2.3 kg', at: site.clock.now() },
    ...{
      heldUntil: site.clock.now() + 3 * 3_600_000,
      beyondK: 0,
      slowK: null,
      warmK: null,
      overdueMin: -180,
    },
    probe: { channel: probe, since: site.clock.now() },
  });
  /** Air sensors but for some speak; the probe stands unplugged. */
  const speaks = (site: ReturnType<typeof alarmSite>, seconds: number, quiet: readonly string[] = []) =>
    site.run(seconds, () => {
      const second = (site.clock.now() - site.startedAt) / 1000;
      ['w1', 'c1', 'c2'].forEach((id, n) => {
        if (quiet.includes(id) || second % 30 !== n * 5) return;
        site.say(`${id}.temperature`, (id === 'w1' ? 24 : 5) + (second % 60) / 100);
      });
    });

  test('is not missed while it stands in none, whatever it last said', () => {
    const site = alarmSite(small);
    site.say(probe, 21);
    site.say('stick.battery', 90);
    speaks(site, 14 * 3600);
    expect(site.book.views()).toEqual([]);
  });

  test('is missed two periods after it was put into one, and no longer once that is over', () => {
    const site = alarmSite(small);
    speaks(site, 1800);
    site.unloads.push(load(site));
    speaks(site, 118);
    expect(ringing(site)).toEqual([]);
    speaks(site, 5);
    expect(ringing(site)).toEqual(['silent/stick']);
    expect(site.book.view('silent/stick').raisedAt).toBe(site.unloads[0]!.at);
    site.unloads.pop();
    speaks(site, 2);
    expect(site.book.view('silent/stick')).toMatchObject({
      conditionHolds: false,
      title: 'Sensor stick silent: it stands in no load any more',
    });
    site.book.act('silent/stick', { act: 'acknowledge' }, 'rowan');
    speaks(site, 1800);
    expect(site.book.views()).toEqual([]);
  });

  test('unplugged it makes no silent room of one sensor, nor keeps a site from being silent', () => {
    const site = alarmSite(small);
    speaks(site, 1800);
    speaks(site, 120, ['w1']);
    expect(ringing(site)).toEqual(['silent/w1']);
    speaks(site, 120, ['w1', 'c1', 'c2']);
    expect(ringing(site)).toEqual(['silent-all/site']);
  });

  test('one that tells the air as well is missed as ever, but for its probe', () => {
    const channels = [...stick.channels, { quantity: 'temperature', unit: 'degC', pointer: '/a' } as const];
    const site = alarmSite(smallFarm({ sensors: [{ ...stick, channels }, sensor('c1', 'cold-room')] }));
    const tell = (seconds: number, ...some: string[]) =>
      site.run(seconds, () => {
        const second = (site.clock.now() - site.startedAt) / 1000;
        if (second % 30 !== 0) return;
        for (const id of some) site.say(`${id}.temperature`, (id === 'c1' ? 5 : 24) + (second % 60) / 100);
      });
    tell(600, 'stick', 'c1');
    expect(site.state('silent-channel/stick.probe-temperature')).toBe('normal');
    tell(180, 'c1');
    expect(site.state('silent/stick')).toBe('unacknowledged');
  });
});

describe('whether a group is silent together', () => {
  const at = (...late: number[]) =>
    groupLife(
      late.map((s) => ({ heardAt: -s * 1000, everyMs: 30_000 })),
      0,
    );
  test('nobody is silent yet', () => expect(at(59, 58, 57)).toBe('alive'));
  test('one is, and another spoke', () => expect(at(61, 12, 40)).toBe('alive'));
  test('one is, and all others are late', () => expect(at(61, 31, 40)).toBe('unsure'));
  test('all are', () => expect(at(61, 46, 50)).toBe('silent'));
});

test('one sensor that falls silent rings for itself, without waiting for its room', () => {
  const site = alarmSite(farm);
  live(site, 60, []);
  live(site, 95, ['w2']);
  expect(ringing(site)).toEqual(['silent/w2']);
});

test('a room that falls silent is one alarm, and says what is likely; its sensors are held back', () => {
  const site = alarmSite(farm);
  live(site, 60, []);
  live(site, 120, ['w1', 'w2', 'w3']);
  // The gateway's two sensors are silent for the same cause, and nobody can tell which: the first in line rings.
  expect(ringing(site)).toEqual(['silent-gateway/attic', 'silent-room/warm-room']);
  expect(site.book.view('silent-room/warm-room')).toMatchObject({
    priority: 1,
    title: 'Warm room silent: none of its 3 sensors is heard, likely a power loss',
  });
  expect(['w1', 'w2', 'w3'].map((id) => site.state(`silent/${id}`))).toEqual(Array(3).fill('suppressed'));
});

test('a shelved group is no flood: what follows from it stays behind it', () => {
  const site = alarmSite(farm);
  live(site, 60, []);
  live(site, 120, ['w1', 'w2', 'w3']);
  for (const alarm of ['silent-room/warm-room', 'silent-gateway/attic'])
    site.book.act(alarm, { act: 'shelve', forMinutes: 60, oneShot: false, why: 'being rewired' }, 'rowan');
  live(site, 120, ['w1', 'w2', 'w3']);
  expect(ringing(site)).toEqual([]);
  expect(['w1', 'w2', 'w3'].map((id) => site.state(`silent/${id}`))).toEqual(Array(3).fill('suppressed'));
});

test('power comes back to all but one within a minute: that one rings a while later, and nothing else does', () => {
  const site = alarmSite(farm);
  live(site, 60, []);
  live(site, 120, ['c1', 'c2', 'w1', 'w2', 'w3']);
  expect(ringing(site)).toEqual(['silent-all/site']);
  expect(site.state('silent-room/cold-room')).toBe('suppressed');
  live(site, 40, ['w1']);
  expect(ringing(site)).toEqual(['silent-all/site']);
  live(site, 60, ['w1']);
  expect(site.state('silent-all/site')).toBe('returned-unacknowledged');
  expect(ringing(site)).toEqual(['silent-all/site', 'silent/w1']);
});

test('while the broker is away, its sensors ring nobody', () => {
  const site = alarmSite(farm);
  live(site, 60, []);
  const away = { title: 'No contact with the broker', advice: 'Look at it.', priority: 2 } as const;
  site.book.system('broker', { abnormal: true, ...away });
  live(site, 300, sensors);
  expect(ringing(site)).toEqual(['system/broker']);
  site.book.system('broker', { abnormal: false, ...away });
  live(site, 100, []);
  expect(ringing(site)).toEqual(['system/broker']);
});

test('sensors that stay silent after the broker is back ring, also where that could not be written for a while', () => {
  const site = alarmSite(farm);
  live(site, 60, []);
  const away = { title: 'No contact with the broker', advice: 'Look at it.', priority: 2 } as const;
  site.book.system('broker', { abnormal: true, ...away });
  live(site, 300, sensors);
  site.book.system('broker', { abnormal: false, ...away });
  live(site, 30, ['w1']);
  expect(site.state('silent/w1')).toBe('suppressed');
  site.database.exec(`CREATE TEMP TRIGGER full BEFORE INSERT ON alarm_journal
    WHEN NEW.alarm = 'silent/w1' BEGIN SELECT RAISE(ABORT, 'the disk is full'); END`);
  let refused = 0;
  for (let second = 0; second < 150; second += 1)
    try {
      live(site, 1, ['w1'], second);
    } catch {
      refused += 1;
    }
  expect(refused).toBeGreaterThan(1);
  expect(site.state('silent/w1')).toBe('suppressed');
  site.database.exec('DROP TRIGGER full');
  live(site, 180, ['w1']);
  expect(site.state('silent/w1')).toBe('unacknowledged');
});

test('a group stays silent over a restart until somebody speaks', () => {
  const site = alarmSite(farm);
  live(site, 60, []);
  live(site, 120, ['c1', 'c2']);
  expect(ringing(site)).toEqual(['silent-room/cold-room']);
  site.restart();
  live(site, 30, ['c1', 'c2']);
  expect(site.state('silent-room/cold-room')).toBe('unacknowledged');
  live(site, 35, []);
  expect(site.state('silent-room/cold-room')).toBe('returned-unacknowledged');
});

test('a sensor that leaves out one of its quantities', () => {
  const site = alarmSite();
  site.hold({}, 120);
  for (let second = 0; second < 330; second += 30) {
    site.run(30);
    for (const id of ['warm-air', 'a1', 'a2']) site.say(`${id}.temperature`, 24 + (second % 60) / 100);
  }
  expect(ringing(site)).toEqual(['silent-channel/warm-air.humidity']);
  expect(site.book.view('silent-channel/warm-air.humidity').title).toMatch(/humidity silent: nothing heard/);
});
