import type { Database } from 'better-sqlite3';
import { rollupWidthsMs } from '../../shared/readings.ts';
import { type Bucket, createBuckets } from './bucket.ts';
import type { Mark } from './quality-code.ts';

const names = ['rollup_1m', 'rollup_15m', 'rollup_6h'] as const;
/** The roll-up tables, smallest width first. */
export const rollupTables = names.map((name, index) => ({ name, widthMs: rollupWidthsMs[index]! }));

// A bucket of one reading holds it in `total` alone, so low, high and last fall back on it.
const upsertSql = (table: string) => `
INSERT INTO ${table} (series, t, marked, count, low, high, total, last, last_ms)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
ON CONFLICT (series, t, marked) DO UPDATE SET
  count = count + excluded.count,
  low = min(coalesce(low, total), coalesce(excluded.low, excluded.total)),
  high = max(coalesce(high, total), coalesce(excluded.high, excluded.total)),
  total = total + excluded.total,
  last = CASE WHEN excluded.last_ms > last_ms
    THEN coalesce(excluded.last, excluded.total) ELSE coalesce(last, total) END,
  last_ms = max(last_ms, excluded.last_ms)`;

const readSql = (table: string) => `
SELECT t, marked, count, coalesce(low, total), coalesce(high, total), total, coalesce(last, total), t + last_ms
FROM ${table} WHERE series = ? AND t >= ? AND t < ? ORDER BY t, marked`;

/** Marks as in quality-code.ts: 3 is estimated, 0 and 2 may feed forecasts. */
const sumsSql = (marks: string) => `
SELECT t, sum(count), sum(total) FROM rollup_1m
WHERE series = ? AND t >= ? AND t < ? AND marked IN (${marks}) GROUP BY t ORDER BY t`;

/** What the readings of a minute come to. */
export type MinuteSum = [t: number, count: number, total: number];

type BucketRow = [number, Mark, number, number, number, number, number, number];

/** Readings of one series, as rolled up: parallel rows of (t, value, marked). */
export type RolledReading = readonly [t: number, value: number, marked: Mark];

/** The stored roll-ups: adding to them, and reading them. */
export function createRollupTables(database: Database) {
  const levels = rollupTables.map(({ name, widthMs }) => ({
    widthMs,
    upsert: database.prepare(upsertSql(name)),
    read: database.prepare<[number, number, number], BucketRow>(readSql(name)).raw(),
    count: database
      .prepare<[number, number, number, number], number>(
        `SELECT count(*) FROM (SELECT DISTINCT t FROM ${name} WHERE series = ? AND t >= ? AND t < ? LIMIT ?)`,
      )
      .pluck(),
  }));
  const sums = (marks: string) => database.prepare<[number, number, number], MinuteSum>(sumsSql(marks)).raw();
  const measuredSums = sums('0, 2');
  const estimatedSums = sums('3');
  const levelOf = (widthMs: number) => {
    const level = levels.find((candidate) => candidate.widthMs === widthMs);
    if (level === undefined) throw new RangeError(`no roll-up of ${widthMs} ms`);
    return level;
  };

  return {
    /** Adds readings that the roll-ups do not hold yet. The caller owns the transaction. */
    add(series: number, readings: Iterable<RolledReading>): void {
      const collected = levels.map((level) => createBuckets(level.widthMs));
      for (const [t, value, marked] of readings)
        for (const buckets of collected) buckets.add(t, value, marked);
      levels.forEach(({ upsert }, index) => {
        for (const { t, marked, count, low, high, total, last, lastT } of collected[index]!.all())
          if (count === 1) upsert.run(series, t, marked, 1, null, null, total, null, lastT - t);
          else upsert.run(series, t, marked, count, low, high, total, last, lastT - t);
      });
    },
    /** Stored buckets that start in [from, to), ordered by time. */
    read(series: number, widthMs: number, from: number, to: number): Bucket[] {
      const rows = levelOf(widthMs).read.all(series, from, to);
      return rows.map(([t, marked, count, low, high, total, last, lastT]) => {
        return { t, marked, count, low, high, total, last, lastT };
      });
    },
    /** Stored minutes that start in [from, to), of what may feed forecasts or of what was estimated by hand. */
    minuteSums: (series: number, from: number, to: number, estimated: boolean): MinuteSum[] =>
      (estimated ? estimatedSums : measuredSums).all(series, from, to),
    /** How many stored buckets start in [from, to), counted up to `most`. */
    count: (series: number, widthMs: number, from: number, to: number, most: number): number =>
      levelOf(widthMs).count.get(series, from, to, most)!,
  };
}
