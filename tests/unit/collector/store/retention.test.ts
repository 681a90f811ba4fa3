import { afterEach, beforeEach, expect, test } from 'vitest';
import { createFollower } from '../../../../collector/store/follower.ts';
import { createStoreHistory } from '../../../../collector/store/history.ts';
import { storeMigrations } from '../../../../collector/store/migrations.ts';
import { type Database, openDatabase } from '../../../../collector/store/open-database.ts';
import { createReadingsLog, type ReadingsLog } from '../../../../collector/store/readings-log.ts';
import { recount } from '../../../../collector/store/recount.ts';
import { createRetention } from '../../../../collector/store/retention.ts';
import { createManualClock, type ManualClock } from '../../../../shared/manual-clock.ts';
import { dayMs, minuteMs } from '../../../../shared/time.ts';
import { readingOf, t0 } from '../../../tools/history-suite.ts';

let clock: ManualClock;
let database: Database;
let log: ReadingsLog;
beforeEach(() => {
  clock = createManualClock(t0 + 100 * dayMs);
  database = openDatabase({ file: ':memory:', migrations: storeMigrations, clock });
  log = createReadingsLog(database);
  // A hundred days, each 40 minutes.
  log.append(
    Array.from({ length: 100 * 36 }, (_, index) => readingOf(t0 + index * 40 * minuteMs, index % 17)),
  );
  log.settle(1e6);
});
afterEach(() => {
  database.close();
});

const rawCount = () => database.prepare('SELECT count(*) FROM reading').pluck().get();
async function run(forwarding: boolean) {
  const done = createRetention({ database, log, clock, rawDays: 90, forwarding }).run();
  let over = false;
  void done.finally(() => {
    over = true;
  });
  while (!over) {
    clock.advanceBy(10);
    await new Promise((resolve) => setImmediate(resolve));
  }
  return done;
}

test('drops raw readings that are old, and keeps every roll-up', async () => {
  const whole = { channel: 'warm-a1.temperature', from: t0, to: t0 + 100 * dayMs, maxPoints: 2_000 };
  const before = await createStoreHistory(database).series(whole);
  expect(await run(false)).toMatchObject({ readings: 360, waiting: 0, before: t0 + 10 * dayMs });
  expect(rawCount()).toBe(90 * 36);
  expect(await createStoreHistory(database).series(whole)).toEqual(before);
  expect(recount(database)).toMatchObject({ wrong: 0, readings: 90 * 36 });
});

test('a span whose raw readings are gone is told from the roll-ups', async () => {
  await run(false);
  const hour = {
    channel: 'warm-a1.temperature',
    from: t0 + dayMs,
    to: t0 + dayMs + 60 * minuteMs,
    maxPoints: 500,
  };
  const { bucketMs, points } = await createStoreHistory(database).series(hour);
  expect(bucketMs).toBe(minuteMs);
  expect(points).toHaveLength(2);
});

test('what is not rolled up yet stays', async () => {
  log.append(Array.from({ length: 50 }, (_, index) => readingOf(t0 + index, 1, { channel: 'new.humidity' })));
  await run(false);
  expect(rawCount()).toBe(90 * 36 + 50);
});

test('while readings are forwarded, none is dropped before it was, late ones included', async () => {
  const follower = createFollower(database, log);
  expect(await run(true)).toMatchObject({ readings: 0, waiting: 360 });
  for (let portion = follower.next(180); portion !== undefined; portion = undefined)
    follower.confirm(portion);
  // Whole minutes go, so the one that the cursor stands in stays.
  expect(await run(true)).toMatchObject({ readings: 179, waiting: 181 });
  for (let portion = follower.next(5_000); portion !== undefined; portion = follower.next(5_000))
    follower.confirm(portion);
  const late = t0 + 7 * dayMs + 1;
  log.append([readingOf(late, 3)]);
  expect(await run(true)).toMatchObject({ waiting: expect.any(Number) });
  expect(database.prepare('SELECT 1 FROM reading WHERE t = ?').get(late)).toBeDefined();
  expect(follower.next(10)?.readings).toMatchObject([{ t: late }]);
  follower.confirm(follower.next(10)!);
  expect(await run(true)).toMatchObject({ waiting: 0 });
  expect(rawCount()).toBe(90 * 36);
});
