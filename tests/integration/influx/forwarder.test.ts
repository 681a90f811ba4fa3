import { afterAll, beforeAll, expect, test } from 'vitest';
import { connectInflux } from '../../../collector/influx/connection.ts';
import { createForwarder } from '../../../collector/influx/forwarder.ts';
import { influxMigrations } from '../../../collector/influx/migrations.ts';
import { createFollower } from '../../../collector/store/follower.ts';
import { storeMigrations } from '../../../collector/store/migrations.ts';
import { openDatabase } from '../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../collector/store/readings-log.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import type { PartHealth } from '../../../shared/live.ts';
import type { Cancel, Clock } from '../../../shared/time.ts';
import { readingOf, t0 } from '../../tools/history-suite.ts';
import { type Influxd, startInfluxd } from '../../tools/influxd.ts';

let influxd: Influxd;
beforeAll(async () => {
  influxd = await startInfluxd();
});
afterAll(() => influxd[Symbol.asyncDispose]());

/** Real time, a hundred times as fast, so that pauses between tries cost a test little. */
const hurried: Clock = {
  now: () => systemClock.now(),
  after: (delayMs, action) => systemClock.after(delayMs / 100, action),
  every: (periodMs, action) => systemClock.every(periodMs / 100, action),
};

let opened = 0;
async function open({ create = true } = {}) {
  const name = `farm_${++opened}`;
  if (create) await influxd.tell(`CREATE DATABASE ${name}`);
  const migrations = [...storeMigrations, ...influxMigrations];
  const database = openDatabase({ file: ':memory:', migrations, clock: hurried });
  const log = createReadingsLog(database);
  const connection = connectInflux({ url: influxd.url, database: name }, undefined);
  const seen: PartHealth[] = [];
  let tell: () => void = () => {};
  const forwarder = createForwarder({
    site: 'test-site',
    database,
    follower: createFollower(database, log),
    connection,
    clock: hurried,
    onHealth(health) {
      seen.push(health);
      tell();
    },
  });
  return {
    name,
    database,
    log,
    connection,
    forwarder,
    seen,
    /** Resolves once the forwarder says so. */
    says: (words: RegExp) =>
      new Promise<void>((resolve) => {
        const from = seen.length;
        tell = () => seen.slice(from).some((health) => words.test(health.text)) && resolve();
      }),
    /** How many points are there, by channel. */
    async counts(): Promise<Record<string, number>> {
      const rows = await connection.ask('SELECT count("value") FROM "reading" GROUP BY "channel"', {});
      return Object.fromEntries(rows.map((row) => [row.tags!.channel!, Number(row.values[0]![1])]));
    },
  };
}
const run = (channel: string, from: number, count: number) =>
  Array.from({ length: count }, (_, index) => readingOf(t0 + (from + index) * 1_000, 20, { channel }));
/** Waits for a condition that nothing tells of, by real time. */
const until = (holds: () => boolean) =>
  new Promise<void>((resolve) => {
    const cancel: Cancel = systemClock.every(5, () => {
      if (!holds()) return;
      cancel();
      resolve();
    });
  });

test('everything arrives: what was there before, what comes, and what comes late', async () => {
  const { log, forwarder, counts, says } = await open();
  log.append([...run('a.temperature', 0, 12_000), ...run('b.temperature', 0, 30)]);
  const whole = says(/has every reading/);
  forwarder.start();
  await whole;
  expect(await counts()).toEqual({ 'a.temperature': 12_000, 'b.temperature': 30 });
  log.append([
    ...run('a.temperature', 12_000, 5),
    ...run('b.temperature', -50, 50),
    ...run('c.humidity', 0, 1),
  ]);
  await until(() => forwarder.forwarded() === 12_086);
  expect(await counts()).toEqual({ 'a.temperature': 12_005, 'b.temperature': 80, 'c.humidity': 1 });
  await forwarder.stop();
});

test('a late reading that arrives while its series is under way is not passed over', async () => {
  const { log, database, connection, counts } = await open();
  log.append(run('a.temperature', 10, 10));
  const slow = {
    ...connection,
    async write(lines: readonly string[]) {
      if (lines.length === 10) log.append(run('a.temperature', 0, 10));
      return connection.write(lines);
    },
  };
  const parts = { site: 'test-site', database, follower: createFollower(database, log), clock: hurried };
  const forwarder = createForwarder({ ...parts, connection: slow });
  forwarder.start();
  await until(() => forwarder.forwarded() === 20);
  await forwarder.stop();
  expect(await counts()).toEqual({ 'a.temperature': 20 });
});

test('the server ends and comes back: says so, loses nothing, goes on by itself', async () => {
  const { log, forwarder, counts, says } = await open();
  log.append(run('a.temperature', 0, 7_000));
  const whole = says(/has every reading/);
  forwarder.start();
  await whole;
  await influxd.kill();
  const away = says(/does not answer.*readings wait, nothing is lost/);
  log.append(run('a.temperature', 7_000, 7_000));
  await away;
  expect(forwarder.health().state).toBe('failed');
  const again = says(/has every reading/);
  await influxd.start();
  await again;
  expect(forwarder.health().state).toBe('ok');
  expect(await counts()).toEqual({ 'a.temperature': 14_000 });
  await forwarder.stop();
});

test('stopped in the middle, a later start goes on from the cursor', async () => {
  const { log, database, forwarder, counts, connection } = await open();
  log.append(run('a.temperature', 0, 20_000));
  forwarder.start();
  await until(() => forwarder.forwarded() >= 5_000);
  await forwarder.stop();
  const done = forwarder.forwarded();
  expect(done).toBeLessThan(20_000);
  const again = createReadingsLog(database);
  const follower = createFollower(database, again);
  expect(follower.waiting(100_000)).toBe(20_000 - done);
  // Late, while nothing is running: it waits in the log's own queue.
  again.append(run('a.temperature', -1, 1));
  const second = createForwarder({ site: 'test-site', database, follower, connection, clock: hurried });
  second.start();
  await until(() => second.forwarded() === 20_001 - done);
  await second.stop();
  expect(await counts()).toEqual({ 'a.temperature': 20_001 });
});

test('lines that are refused are set aside with the reason, and all others arrive', async () => {
  const { log, database, forwarder, counts, connection, says } = await open();
  // Points of this measurement that hold text where ours hold floats, on one day: that shard refuses ours.
  expect(await connection.write([`reading,site=other value="text" ${t0}`])).toEqual({ kind: 'taken' });
  const later = run('a.temperature', 30 * 86_400, 900);
  log.append([...later, ...run('a.temperature', 0, 3)]);
  const whole = says(/has every reading, but for 3 that it refused/);
  forwarder.start();
  await whole;
  await forwarder.stop();
  expect((await counts())['a.temperature']).toBe(900);
  const aside = database.prepare('SELECT line, reason FROM influx_set_aside').raw().all() as string[][];
  expect(aside).toHaveLength(3);
  expect(aside[0]).toEqual([
    expect.stringContaining('channel=a.temperature'),
    expect.stringMatching(/conflict/),
  ]);
});

test('a database that is missing is said, and nothing is set aside for it', async () => {
  const { name, log, database, forwarder, says, connection } = await open({ create: false });
  log.append(run('a.temperature', 0, 3));
  const told = says(/404: database not found/);
  forwarder.start();
  await told;
  expect(forwarder.health()).toMatchObject({
    state: 'failed',
    text: expect.stringContaining('3 readings wait'),
  });
  const whole = says(/has every reading/);
  await influxd.tell(`CREATE DATABASE ${name}`);
  await whole;
  await forwarder.stop();
  expect(database.prepare('SELECT count(*) FROM influx_set_aside').pluck().get()).toBe(0);
  expect(await connection.ask('SELECT count("value") FROM "reading"', {})).toHaveLength(1);
});
