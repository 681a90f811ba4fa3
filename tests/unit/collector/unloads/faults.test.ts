import { setImmediate as nextTurn } from 'node:timers/promises';
import { expect, onTestFinished, test } from 'vitest';
import { bagMigrations } from '../../../../collector/bags/migrations.ts';
import { assumedRoom } from '../../../../collector/rooms/assumed.ts';
import { createStoreHistory } from '../../../../collector/store/history.ts';
import { storeMigrations } from '../../../../collector/store/migrations.ts';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import { systemClock } from '../../../../collector/system-clock.ts';
import { createFollower } from '../../../../collector/unloads/follower.ts';
import { createGather } from '../../../../collector/unloads/gather.ts';
import { unloadMigrations } from '../../../../collector/unloads/migrations.ts';
import { createReckoner, type Reckoner } from '../../../../collector/unloads/reckoner.ts';
import { createShelfDifferences } from '../../../../collector/unloads/shelf-differences.ts';
import { createUnloadBook } from '../../../../collector/unloads/unload-book.ts';
import { createUnloadDesk, type UnloadDeskNeeds } from '../../../../collector/unloads/unload-desk.ts';
import type { BagEvent } from '../../../../shared/bags.ts';
import { AppError } from '../../../../shared/errors.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import type { RecentAir } from '../../../../shared/unload/plan-input.ts';
import type { UnloadEvent } from '../../../../shared/unloads.ts';
import { smallFarm, startAt } from '../../../tools/alarm-site.ts';
import { until } from '../../../tools/until.ts';

const farm = smallFarm({
  containers: [
    {
      ...{ id: 'jar', name: 'Jar 0.5 L', kind: 'jar', massKg: 0.4, volumeL: 0.5 },
      shape: { form: 'cylinder', diameterM: 0.08, heightM: 0.1 },
    },
  ],
});

let ids = 0;
const event = (kind: UnloadEvent['kind'], more: object = {}) =>
  ({ kind, id: `event-00${++ids}`, t: startAt, who: 'Rowan', unload: 'unload-1', ...more }) as UnloadEvent;
const begun = event('begun', {
  room: 'warm-room',
  load: { container: 'jar', count: 12, startC: 95 },
  options: { fan: false, extraCoolingW: 0 },
});

function store() {
  const clock = createManualClock(startAt);
  const migrations = [...storeMigrations, ...bagMigrations, ...unloadMigrations];
  const database = openDatabase({ file: ':memory:', migrations, clock });
  onTestFinished(() => void database.close());
  return { clock, database, history: createStoreHistory(database), farm: () => farm };
}

function openDesk(more: Partial<UnloadDeskNeeds> = {}) {
  const problems: string[] = [];
  const parts = store();
  const desk = createUnloadDesk({
    ...parts,
    ...{ batches: () => [], forecasts: () => [], liveValue: () => undefined, shelfAir: null },
    rooms: {
      ...{ fitOf: (room) => assumedRoom(farm, room), page: () => expect.fail(), taughtAfter: () => [] },
      bagsW: () => null,
    },
    ...{ follows: true, inThread: false, onChange() {}, onRecorded() {}, alarms: () => [] },
    onProblem: (text) => problems.push(text),
    ...more,
  });
  onTestFinished(() => desk.close());
  return { ...parts, ...desk, problems };
}

test('nothing more is said of a load that is withdrawn', async () => {
  const { desk } = openDesk();
  desk.record({ ...begun, load: { container: 'jar', count: 12, startC: 28 } } as UnloadEvent);
  await until(systemClock, () => desk.unload('unload-1').view.now !== null);
  desk.record(event('withdrawn'));
  expect(desk.unload('unload-1').view).toMatchObject({ stage: 'withdrawn', now: null });
});

test('a schedule that everybody forgot leaves the wall to the next one', () => {
  const { desk, live, clock } = openDesk();
  const { room, load, options } = begun as Extract<UnloadEvent, { kind: 'begun' }>;
  const ahead = (unload: string, hours: number) =>
    event('scheduled', { unload, t: clock.now(), room, load, options, at: clock.now() + hours * hourMs });
  desk.record(ahead('unload-1', 1));
  clock.advanceBy(10 * hourMs);
  desk.record(ahead('unload-2', 10));
  expect(live().open.map(({ id }) => id)).toEqual(['unload-1', 'unload-2']);
  clock.advanceBy(4 * hourMs);
  expect(live().open.map(({ id }) => id)).toEqual(['unload-2']);
  expect(desk.list()).toHaveLength(2);
});

test('of two loads of one kind batches are made of the one that is cool', async () => {
  const { desk, watched, noteBags, clock, tick } = openDesk();
  const { room, options } = begun as Extract<UnloadEvent, { kind: 'begun' }>;
  const begin = (unload: string, startC: number) =>
    desk.record(
      event('begun', { unload, t: clock.now(), room, options, load: { container: 'jar', count: 4, startC } }),
    );
  const warm = () => watched().map(({ warmK }) => warmK !== null);
  const make = () => noteBags({ kind: 'made', container: 'jar', t: clock.now() } as BagEvent);
  const seen = (unload: string) =>
    until(systemClock, () => desk.unload(unload).view.now?.asOf === clock.now());
  begin('cart-one', 27.5);
  clock.advanceBy(4 * hourMs);
  tick(clock.now());
  await seen('cart-one');
  begin('cart-two', 95);
  await seen('cart-two');
  make();
  expect(warm()).toEqual([false, false]);
  // The cool one is carried off: what is made now is made of the hot one.
  desk.record(event('ended', { unload: 'cart-one', t: clock.now(), because: 'hand' }));
  make();
  expect(warm()).toEqual([true]);
});

test('a store that cannot be read stops no timer of the site, and is told of', () => {
  const full = () => {
    throw new Error('disk I/O error');
  };
  const { tick, problems } = openDesk({ history: { readMinutes: full, readStates: full } });
  tick(startAt + minuteMs);
  expect(problems).toEqual(['Rooms could not be looked at for loads that nobody declared']);
});

test('a plan that was lost with its thread is asked for once more, one that is refused is not', async () => {
  const { clock, database, history, farm } = store();
  const book = createUnloadBook({ database, farm, clock });
  let asked = 0;
  const reckoner: Reckoner = {
    ...createReckoner(false),
    plan: async () => {
      asked += 1;
      throw asked === 1
        ? new AppError('unavailable', 'its thread ended')
        : new AppError('out-of-range', 'the load is cold');
    },
  };
  const problems: string[] = [];
  const shared = { farm, history, forecasts: () => [] };
  const gather = createGather({
    ...{ ...shared, batches: () => [], fitOf: (room) => assumedRoom(farm(), room), beliefOf: book.belief },
    ...{ shelfDifferences: createShelfDifferences(null), unloads: book.states },
    ...{ bagsW: () => null, alarms: () => [] },
  });
  const follower = createFollower({
    ...{ ...shared, book, clock, gather, reckoner, liveValue: () => undefined, onChange() {} },
    record: (one) => void book.record(one),
    onProblem: (text) => problems.push(text),
  });
  onTestFinished(follower.close);
  book.record(begun);
  await follower.changed(book.state('unload-1')!);
  expect(problems).toHaveLength(1);
  const look = async () => {
    clock.advanceBy(minuteMs);
    follower.look(clock.now());
    await until(systemClock, () => follower.now('unload-1')?.asOf === clock.now());
    await nextTurn();
  };
  await look();
  expect(asked).toBe(2);
  // What is wrong with the question is wrong with it a minute later too.
  await look();
  expect(asked).toBe(2);
  expect(problems).toHaveLength(2);
});

/** A book on a store of its own, and followers of it that never end a load, having no plan of it. */
function followedWithoutPlans() {
  const { clock, database, history, farm } = store();
  const book = createUnloadBook({ database, farm, clock });
  const open = () => {
    const follower = createFollower({
      ...{ farm, history, forecasts: () => [], book, clock, liveValue: () => undefined },
      gather: async () => {
        throw new AppError('out-of-range', 'plans are not asked about here');
      },
      ...{ reckoner: createReckoner(false), record: () => {}, onChange() {}, onProblem() {} },
    });
    onTestFinished(follower.close);
    return follower;
  };
  return { clock, book, open };
}

test('a load that cooled while nothing followed it was cool when it was, not when somebody looks', async () => {
  const { clock, book, open } = followedWithoutPlans();
  book.record(begun);
  const watched = open();
  clock.advanceBy(minuteMs);
  await watched.changed(book.state('unload-1')!);
  const expected = watched.now('unload-1')!.inoculateAt!.likely;
  expect(expected).toBeGreaterThan(startAt + 60 * minuteMs);

  clock.advanceTo(expected + 6 * 60 * minuteMs);
  const again = open();
  await again.changed(book.state('unload-1')!);
  const { inoculateAt } = again.now('unload-1')!;
  expect(Math.abs(inoculateAt!.likely - expected)).toBeLessThan(15 * minuteMs);
});

test('a load that was cool enough is so no longer once a thermometer in it says otherwise', async () => {
  const { clock, book, open } = followedWithoutPlans();
  book.record(begun);
  const follower = open();
  const look = async () => {
    await follower.changed(book.state('unload-1')!);
    return follower.now('unload-1')!.inoculateAt!.likely;
  };
  clock.advanceBy(minuteMs);
  clock.advanceTo((await look()) + 30 * minuteMs);
  const coolAt = await look();
  expect(coolAt).toBeLessThanOrEqual(clock.now());
  clock.advanceBy(10 * minuteMs);
  expect(await look()).toBe(coolAt);

  const tells = { unload: 'unload-1', who: 'Ida', t: clock.now() };
  book.record({ ...tells, id: 'measured-1', kind: 'measured', where: 'core', tempC: 29.5 });
  expect(await look()).toBeGreaterThan(clock.now());
  // Nor is it said of it once it is over.
  clock.advanceBy(minuteMs);
  book.record({ ...tells, t: clock.now(), id: 'ended-001', kind: 'ended', because: 'hand' });
  await follower.conclude(book.state('unload-1')!);
  expect(book.report('unload-1')).toMatchObject({ inoculateAt: null });
});

test('a shelf whose air could not be had is asked about again, not taken for the room for an hour', async () => {
  const room: RecentAir = {
    ...{ firstT: startAt - 10 * minuteMs, stepMs: 5 * minuteMs },
    airC: Float64Array.of(24, 24, 24),
    outsideC: new Float64Array(3).fill(Number.NaN),
  };
  let asked = 0;
  const { of } = createShelfDifferences(async ({ shelf }) => {
    asked += 1;
    if (asked <= 2) throw new AppError('unavailable', 'The forecast thread is starting.');
    const points = [{ t: startAt, tempC: 25.5, sdK: 0.1, source: 'measured' as const }];
    return { shelf, stepMs: 5 * minuteMs, now: startAt, points };
  });
  expect((await of(farm, 'warm-room', room, startAt))('A1')).toBe(0);
  const aboveK = await of(farm, 'warm-room', room, startAt + minuteMs);
  expect(aboveK('A1')).toBeCloseTo(1.5, 9);
});
