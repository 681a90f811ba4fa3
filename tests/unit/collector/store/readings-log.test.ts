import { afterEach, beforeEach, expect, test } from 'vitest';
import { createStoreHistory } from '../../../../collector/store/history.ts';
import { storeMigrations } from '../../../../collector/store/migrations.ts';
import { type Database, openDatabase } from '../../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../../collector/store/readings-log.ts';
import { recount } from '../../../../collector/store/recount.ts';
import type { Reading } from '../../../../shared/readings.ts';

const t0 = Date.UTC(2026, 9, 1);
const channel = 'warm-a1.temperature';

const reading = (offsetS: number, value: number, more: Partial<Reading> = {}): Reading => {
  const t = t0 + offsetS * 1_000;
  return { channel, t, value, raw: value, quality: 'good', retained: false, receivedAt: t, ...more };
};
const hour = { channel, from: t0, to: t0 + 3_600_000 };

let database: Database;
beforeEach(() => {
  database = openDatabase({ file: ':memory:', migrations: storeMigrations, clock: { now: () => t0 } });
});
afterEach(() => {
  database.close();
});

test('returns what is new and absorbs what is already there: the first to come stands', async () => {
  const log = createReadingsLog(database);
  expect(log.append([reading(0, 20), reading(30, 21)])).toHaveLength(2);
  expect(log.append([reading(30, 99), reading(60, 22)])).toEqual([reading(60, 22)]);
  const { points, bucketMs } = await createStoreHistory(database).series({ ...hour, maxPoints: 10 });
  expect(bucketMs).toBe(0);
  expect(points.map((point) => point.last)).toEqual([20, 21, 22]);
});

test('keeps what the sensor sent, its quality, and when a late reading arrived', () => {
  const log = createReadingsLog(database);
  log.append([
    reading(0, 20),
    reading(10, 20.5, { raw: 19.5, quality: 'suspect' }),
    reading(20, 21, { receivedAt: t0 + 3_600_000 }),
  ]);
  const rows = database.prepare('SELECT value, raw, quality, received FROM reading ORDER BY t').raw().all();
  expect(rows).toEqual([
    [20, null, 0, null],
    [20.5, 19.5, 2, null],
    [21, null, 0, t0 + 3_600_000],
  ]);
});

test('a rollback of the caller leaves nothing behind, a channel first seen in it included', async () => {
  const log = createReadingsLog(database);
  const failing = database.transaction(() => {
    log.append([reading(0, 20)]);
    throw new Error('no');
  });
  expect(failing).toThrow('no');
  log.append([{ ...reading(0, 5), channel: 'other.humidity' }]);
  expect(log.append([reading(0, 21)])).toHaveLength(1);
  log.settle();
  const { points } = await createStoreHistory(database).series({ ...hour, maxPoints: 10 });
  expect(points.map((point) => point.last)).toEqual([21]);
});

test('a late reading changes last only when it is the newest of its bucket', async () => {
  const log = createReadingsLog(database);
  const history = createStoreHistory(database);
  log.append([reading(40, 20), reading(100, 25)]);
  log.settle();
  log.append([reading(10, 30), reading(50, 22)]);
  const { points, bucketMs } = await history.series({ ...hour, maxPoints: 3 });
  expect(bucketMs).toBe(60_000);
  expect(points).toEqual([
    { t: t0, count: 3, min: 20, max: 30, mean: 24, last: 22, marked: 0 },
    { t: t0 + 60_000, count: 1, min: 25, max: 25, mean: 25, last: 25, marked: 0 },
  ]);
});

test('charts show marked readings and say so; minutes for forecasts leave them out', async () => {
  const log = createReadingsLog(database);
  const history = createStoreHistory(database);
  log.append([reading(0, 20), reading(10, 80, { quality: 'out-of-range' }), reading(70, 21)]);
  for (const round of ['unsettled', 'settled']) {
    const { points } = await history.series({ ...hour, maxPoints: 2 });
    expect(points, round).toMatchObject([
      { count: 2, max: 80, last: 80, marked: 1 },
      { count: 1, marked: 0 },
    ]);
    const minutes = history.readMinutes(channel, hour.from, hour.to);
    expect([...minutes.mean], round).toEqual([20, 21]);
    expect([...minutes.t], round).toEqual([t0, t0 + 60_000]);
    log.settle();
  }
});

test('a reading with clock skew is marked on charts and feeds forecasts', async () => {
  const log = createReadingsLog(database);
  const history = createStoreHistory(database);
  log.append([
    reading(0, 20),
    reading(10, 24, { quality: 'clock-skew' }),
    reading(20, 80, { quality: 'suspect' }),
  ]);
  for (const round of ['unsettled', 'settled']) {
    const { points } = await history.series({ ...hour, maxPoints: 1 });
    expect(points, round).toMatchObject([{ count: 3, last: 80, marked: 2 }]);
    expect([...history.readMinutes(channel, hour.from, hour.to).mean], round).toEqual([22]);
    log.settle();
  }
  log.append([reading(30, 28, { quality: 'clock-skew' })]);
  log.settle();
  expect([...history.readMinutes(channel, hour.from, hour.to).mean]).toEqual([24]);
  expect(recount(database)).toMatchObject({ wrong: 0, readings: 4, unsettled: 0 });
});

test('settles in steps without starving a series', () => {
  const log = createReadingsLog(database);
  for (const name of ['a.humidity', 'b.humidity', 'c.humidity'])
    log.append(Array.from({ length: 10 }, (_, index) => ({ ...reading(index, 50), channel: name })));
  const steps: number[] = [];
  for (let rows = log.settle(12); rows > 0; rows = log.settle(12)) steps.push(rows);
  expect(steps).toEqual([12, 12, 6]);
  expect(log.unsettled()).toBe(0);
  expect(database.prepare('SELECT sum(count) FROM rollup_6h').pluck().get()).toBe(30);
});

test('a log opened anew settles what the one before left', () => {
  createReadingsLog(database).append([reading(0, 20), reading(1, 21)]);
  const again = createReadingsLog(database);
  expect(again.settle()).toBe(2);
  expect(again.settle()).toBe(0);
});

test('a reading of a minute whose raw readings were dropped is not counted twice', () => {
  const log = createReadingsLog(database);
  log.append([reading(0, 20), reading(100, 21)]);
  log.settle();
  database.exec(`DELETE FROM reading WHERE t < ${t0 + 60_000}; UPDATE series SET raw_from = ${t0 + 60_000}`);
  const later = createReadingsLog(database);
  expect(later.append([reading(0, 20)])).toEqual([]);
  // A minute that was never rolled up can still be filled, by as many readings as come.
  expect(later.append([reading(-120, 19), reading(-110, 18)])).toHaveLength(2);
  expect(later.append([reading(-105, 17)])).toHaveLength(1);
  expect(database.prepare('SELECT sum(count) FROM rollup_1m').pluck().get()).toBe(5);
});

test('refuses a value that is not a number and stores nothing of its transaction', () => {
  const log = createReadingsLog(database);
  expect(() => log.append([reading(0, 20), reading(1, Number.NaN)])).toThrow(/NOT NULL/);
  expect(database.prepare('SELECT count(*) FROM reading').pluck().get()).toBe(0);
});
