import Database from 'better-sqlite3';
import { expect, onTestFinished, test } from 'vitest';
import { unloadMigrations } from '../../../../collector/unloads/migrations.ts';
import { createUnloadBook } from '../../../../collector/unloads/unload-book.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { firstLoadBelief } from '../../../../shared/unload/load-belief.ts';
import type { UnloadEvent, UnloadPlan, UnloadReport } from '../../../../shared/unloads.ts';
import { smallFarm, startAt } from '../../../tools/alarm-site.ts';

const block = {
  ...{ id: 'block', name: 'Block 2.3 kg', kind: 'block' as const, massKg: 2.3, volumeL: 3.4 },
  shape: { form: 'brick' as const, widthM: 0.12, depthM: 0.12, heightM: 0.24 },
};
const options = { fan: false, extraCoolingW: 0 };
const load = { container: 'block', count: 40, startC: null };

const stick = (at: string, id: string) => ({
  ...{ id, topic: id, decoder: 'plain' as const, at },
  channels: [{ quantity: 'probe-temperature' as const, unit: 'degC' as const }],
});
const bagProbe = { ...stick('A1', 'in-bag'), inBag: { batch: 'B-0001' } };

function book() {
  const database = new Database(':memory:');
  onTestFinished(() => void database.close());
  for (const { sql } of unloadMigrations) database.exec(sql);
  const clock = createManualClock(startAt);
  const farm = smallFarm({ containers: [block], sensors: [stick('warm-room', 'stick'), bagProbe] });
  const open = () => createUnloadBook({ database, clock, farm: () => farm });
  return { ...open(), clock, database, open };
}

let ids = 0;
const event = (kind: UnloadEvent['kind'], more: object = {}) =>
  ({ kind, id: `event-00${++ids}`, t: startAt, who: 'Rowan', unload: 'unload-1', ...more }) as UnloadEvent;
const begun = (more: object = {}) => event('begun', { room: 'warm-room', load, options, ...more });

test('scheduled, begun, measured and ended: each is one event, and the state follows from them', () => {
  const { record, state, clock, open } = book();
  record(event('scheduled', { room: 'warm-room', load, options, at: startAt + hourMs }));
  expect(state('unload-1')).toMatchObject({ stage: 'scheduled', hasBegun: false, at: startAt + hourMs });
  clock.advanceBy(50 * minuteMs);
  record(begun({ t: clock.now(), load: { ...load, count: 36 } }));
  expect(state('unload-1')).toMatchObject({ stage: 'underway', at: clock.now(), load: { count: 36 } });
  record(event('measured', { t: clock.now(), where: 'core', tempC: 91 }));
  record(event('ended', { t: clock.now(), because: 'hand' }));
  expect(state('unload-1')).toMatchObject({ stage: 'ended', endedAt: clock.now() });
  expect(state('unload-1')?.measured).toHaveLength(1);
  expect(open().state('unload-1')).toEqual(state('unload-1'));
});

test('the same event twice is stored once; another under its id is refused', () => {
  const { record, everything } = book();
  const first = begun({ id: 'begun-once' });
  expect(record(first)).toBe(true);
  expect(record(first)).toBe(false);
  expect(everything()).toHaveLength(1);
  expect(() => record({ ...first, who: 'Ash' })).toThrow(/says something else/);
});

test('a load declared twice in one room is refused with who did; another room, or a later cart, is free', () => {
  const { record, clock, joining, state } = book();
  record(begun());
  clock.advanceBy(minuteMs);
  const twice = begun({ unload: 'unload-2', t: clock.now() });
  expect(() => record(twice)).toThrow(
    /Rowan declared an unload of 40 in Warm room since Mon 4 May 07:00\. If it is this one, nothing is left to do; .* together\.$/,
  );
  expect(record({ ...twice, room: 'cold-room' } as UnloadEvent)).toBe(true);
  // The second part of a split comes an hour later.
  clock.advanceBy(hourMs);
  const later = { id: 'begun-later', unload: 'unload-3', t: clock.now() };
  const named = record.bind(null, begun({ ...later, probe: 'stick.probe-temperature' }));
  record(event('probed', { t: clock.now(), channel: 'stick.probe-temperature' }));
  expect(named).toThrow(/The probe stick stands in the load of Mon 4 May 07:00\. Say there first/);
  expect(record(begun(later))).toBe(true);
  const moved = event('probed', { unload: 'unload-3', t: clock.now(), channel: 'stick.probe-temperature' });
  expect(() => record(moved)).toThrow(/stands in the load of/);
  expect(joining(state('unload-1')!)).toMatchObject([{ id: 'unload-3' }]);
  expect(joining(state('unload-3')!)).toEqual([]);
});

test.each([
  ['no room of this farm', begun({ room: 'attic' }), /no room 'attic'.*warm-room/],
  ['no container of this farm', begun({ load: { ...load, container: 'box' } }), /no container 'box'.*block/],
  ['none at all', begun({ load: { ...load, count: 0 } }), /load\.count/],
  ['two thousand', begun({ load: { ...load, count: 2000 } }), /load\.count/],
  ['hotter than a sterilizer', begun({ load: { ...load, startC: 300 } }), /load\.startC/],
  ['at no date', begun({ t: 9e15 }), /not well formed: t: .*8640000000000000/],
  [
    'scheduled for no date',
    event('scheduled', { room: 'warm-room', load, options, at: 1e300 }),
    /not well formed: at: /,
  ],
  ['to come', begun({ t: startAt + hourMs }), /lies ahead/],
  ['long past', begun({ t: startAt - 49 * hourMs }), /two days ago/],
  ['an end without a beginning', event('ended', { because: 'hand' }), /no unload 'unload-1'.*Declare/],
  ['a reading of none', event('measured', { where: 'core', tempC: 60 }), /no unload/],
  [
    'a schedule in the past',
    event('scheduled', { room: 'warm-room', load, options, at: startAt - hourMs }),
    /up to 14 days/,
  ],
])('%s: refused with what and how to mend it, and nothing is stored', (_, wrong, why) => {
  const { record, everything } = book();
  expect(() => record(wrong)).toThrow(why);
  expect(everything()).toEqual([]);
});

test('nothing is added to one that is over, nor measured before it came in', () => {
  const { record, clock } = book();
  record(begun());
  const early = event('measured', { t: startAt - minuteMs, where: 'core', tempC: 60 });
  expect(() => record(early)).toThrow(/before the load came in/);
  clock.advanceBy(hourMs);
  record(event('ended', { t: clock.now(), because: 'hand' }));
  expect(() => record(event('measured', { t: clock.now(), where: 'core', tempC: 60 }))).toThrow(
    /over since .*; declare the load that stands there now/,
  );
  expect(() => record(begun({ t: clock.now() }))).toThrow(/over already; declare another/);
});

test('what is taken back was said before: no earlier than it was scheduled, or came in', () => {
  const { record, clock, state } = book();
  const at = (minutes: number) => startAt + minutes * minuteMs;
  clock.advanceBy(hourMs);
  const scheduled = { room: 'warm-room', load, options, at: at(180) };
  record(event('scheduled', { t: at(60), ...scheduled }));
  expect(() => record(event('withdrawn', { t: at(57) }))).toThrow(
    'That was Mon 4 May 07:57, before the unload was scheduled (Mon 4 May 08:00). Correct the time.',
  );
  expect(() => record(event('withdrawn', { t: 0 }))).toThrow(/before the unload was scheduled/);
  // Clocks of two phones differ by a little.
  record(event('withdrawn', { t: at(59) }));
  expect(state('unload-1')!.stage).toBe('withdrawn');

  record(event('scheduled', { unload: 'unload-2', t: at(60), ...scheduled }));
  clock.advanceBy(hourMs);
  record(begun({ unload: 'unload-2', t: at(90) }));
  expect(() => record(event('withdrawn', { unload: 'unload-2', t: at(80) }))).toThrow(
    /before the load came in \(Mon 4 May 08:30\)/,
  );
  record(event('withdrawn', { unload: 'unload-2', t: at(95) }));
  expect(state('unload-2')!.stage).toBe('withdrawn');
});

test('a question is open until it is answered, either way, and is asked once', () => {
  const { record, asked, state } = book();
  const question = event('asked', { unload: 'guess-1', room: 'warm-room', at: startAt, why: 'a fast rise' });
  record(question);
  expect(asked()).toMatchObject([{ id: 'guess-1', room: 'warm-room', why: 'a fast rise' }]);
  expect(() => record({ ...question, id: 'another-id' })).toThrow(/asked already/);
  record(event('denied', { unload: 'guess-1' }));
  expect(asked()).toEqual([]);
  expect(() => record(event('denied', { unload: 'guess-1' }))).toThrow(/answered already/);
  expect(() => record(event('denied', { unload: 'guess-9' }))).toThrow(/no question 'guess-9'/);
  expect(() => record(begun({ unload: 'guess-1' }))).toThrow(/no unload/);

  record({ ...question, id: 'second-question', unload: 'guess-2' } as UnloadEvent);
  record(begun({ unload: 'guess-2' }));
  expect(asked()).toEqual([]);
  expect(state('guess-2')).toMatchObject({ stage: 'underway', who: 'Rowan' });
});

test('events are never changed or removed', () => {
  const { record, database } = book();
  record(begun());
  expect(() => database.exec("UPDATE unload_event SET kind = 'ended'")).toThrow(/never changed/);
  expect(() => database.exec('DELETE FROM unload_event')).toThrow(/never removed/);
});

const spread = { low: 25, likely: 26, high: 27 };
const when = { earliest: startAt, likely: startAt, latest: startAt };
const plan: UnloadPlan = {
  ...{ room: 'warm-room', load, at: startAt, options, beforeC: 22, peak: { tempC: spread, at: when } },
  ...{ air: [], core: [], limits: [], cohorts: [], inoculateAt: null, inoculateBelowC: 27, overAt: null },
  surface: { startC: 96, cautionC: 60, safeAt: null },
  advice: {
    ...{ fits: true, largest: { count: 40, limitedBy: '' }, split: null, betterAt: null, moveOut: null },
  },
  assumed: [],
};
const report: UnloadReport = {
  ...{ peakC: 26, peakAt: startAt, planned: null, cohorts: [], inoculateAt: null, taught: [] },
};

test('a plan is kept at hand while its load stands there, and no longer', () => {
  const unloads = book();
  unloads.record(begun());
  unloads.keepPlan('unload-1', plan, {});
  expect(unloads.plan('unload-1')).toEqual(plan);
  expect(unloads.plan('unload-1')).toBe(unloads.plan('unload-1'));
  unloads.record(event('ended', { because: 'hand' }));
  expect(unloads.plan('unload-1')).toEqual(plan);
  expect(unloads.plan('unload-1')).not.toBe(unloads.plan('unload-1'));
});

test('what came of a load and what it taught are put down together, or neither', () => {
  const { conclude, isConcluded, belief, report: reportOf, database } = book();
  database.exec(
    "CREATE TRIGGER full BEFORE INSERT ON load_belief BEGIN SELECT raise(ABORT, 'disk is full'); END",
  );
  const taught = { container: 'block', belief: { ...firstLoadBelief, unloads: 1 } };
  expect(() => conclude('unload-1', report, taught)).toThrow(/full/);
  expect(isConcluded('unload-1')).toBe(false);
  database.exec('DROP TRIGGER full');
  conclude('unload-1', report, taught);
  expect(reportOf('unload-1')).toEqual(report);
  expect(belief('block').unloads).toBe(1);
});

test('a list tells the newest report, and needs no report twice', () => {
  const { record, conclude, peaks, database, open } = book();
  record(begun());
  expect(peaks('unload-1')).toEqual({ peakC: null, plannedC: null });
  conclude('unload-1', report, null);
  expect(peaks('unload-1')).toEqual({ peakC: 26, plannedC: null });
  conclude('unload-1', { ...report, peakC: 27, planned: { peakC: spread, at: when } }, null);
  expect(peaks('unload-1')).toEqual({ peakC: 27, plannedC: spread });
  expect(open().peaks('unload-1')).toEqual({ peakC: 27, plannedC: spread });
  database.exec('DROP TABLE unload_report');
  expect(peaks('unload-1').peakC).toBe(27);
});

test('what another make of the tool put down is as good as none, and nothing is learned from it twice', () => {
  const unloads = book();
  unloads.record(begun());
  unloads.keepPlan('unload-1', plan, {});
  unloads.conclude('unload-1', report, { container: 'block', belief: firstLoadBelief });
  for (const table of ['unload_plan', 'unload_report', 'load_belief'])
    unloads.database.exec(`UPDATE ${table} SET body = '{}'`);
  expect(unloads.plan('unload-1')).toBeNull();
  expect(unloads.report('unload-1')).toBeNull();
  expect(unloads.belief('block')).toEqual(firstLoadBelief);
  expect(unloads.isConcluded('unload-1')).toBe(true);
});

test('probes stand in a load one after another, and only such as may', () => {
  const { record, state, clock } = book();
  record(begun({ probe: null }));
  expect(state('unload-1')!.probes).toEqual([]);
  const at = (minutes: number) => startAt + minutes * minuteMs;
  clock.advanceBy(hourMs);
  const channel = 'stick.probe-temperature';
  record(event('probed', { t: at(10), channel }));
  record(event('probed', { t: at(20), channel }));
  record(event('probed', { t: at(30), channel: null }));
  record(event('probed', { t: at(40), channel }));
  expect(state('unload-1')!.probes).toEqual([
    { channel, from: at(10), to: at(30) },
    { channel, from: at(40), to: null },
  ]);
  for (const other of ['in-bag.probe-temperature', 'warm-air.temperature', 'nowhere'])
    expect(() => record(event('probed', { t: at(50), channel: other }))).toThrow(
      `There is no probe '${other}' for loads in the Warm room. Known: stick.probe-temperature.`,
    );
  expect(() => record(begun({ unload: 'unload-2', room: 'cold-room', probe: channel }))).toThrow(
    /for loads in the Cold room. Known: none; give a sensor there a channel/,
  );
});

test('a load that is cool already is no hot load, declared or scheduled', () => {
  const { record, states } = book();
  const cool = { load: { ...load, startC: 15 } };
  for (const wrong of [
    begun(cool),
    event('scheduled', { room: 'warm-room', options, at: startAt + hourMs, ...cool }),
  ])
    expect(() => record(wrong)).toThrow(
      'A load of 15 °C is cool enough to inoculate already (below 27 °C). Give its core as it leaves the sterilizer.',
    );
  expect(states()).toEqual([]);
});
