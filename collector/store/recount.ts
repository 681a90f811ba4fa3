import type { Database } from 'better-sqlite3';
import { rollupTables } from './rollup-tables.ts';

interface Counted {
  series: number;
  t: number;
  marked: number;
  count: number;
  low: number;
  high: number;
  total: number;
  last: number;
}

export interface Recount {
  readings: number;
  /** Readings behind the marks: not in the roll-ups yet, as it should be. */
  unsettled: number;
  /** Buckets compared. */
  buckets: number;
  /** Buckets whose roll-up is not what the readings say; the first twenty in words. */
  wrong: number;
  examples: string[];
}

const settled = 'FROM reading JOIN series ON series.id = reading.series WHERE t <= rolled_to';

/** From the readings alone. Buckets that reach back before `raw_from` cannot be recounted. */
const fromReadings = (widthMs: number) => `
WITH bucket AS (
  SELECT reading.series, t - t % ${widthMs} AS start, 
    CASE quality WHEN 0 THEN 0 WHEN 1 THEN 2 WHEN 4 THEN 3 ELSE 1 END AS marked, count(*) AS count,
    min(value) AS low, max(value) AS high, total(value) AS total, max(t) AS newest
  ${settled} AND t - t % ${widthMs} >= raw_from
  GROUP BY 1, 2, 3
)
SELECT bucket.series, start AS t, marked, count, low, high, total, reading.value AS last
FROM bucket JOIN reading ON reading.series = bucket.series AND reading.t = newest
ORDER BY 1, 2, 3`;

const fromRollup = (table: string) => `
SELECT series, t, marked, count, coalesce(low, total) AS low, coalesce(high, total) AS high, total,
  coalesce(last, total) AS last
FROM ${table} JOIN series ON series.id = ${table}.series WHERE t >= raw_from ORDER BY 1, 2, 3`;

const keyOf = ({ series, t, marked }: Counted) => `${series} ${t} ${marked}`;
const tell = (bucket: Counted | undefined) =>
  bucket === undefined
    ? 'nothing'
    : `${bucket.count} readings ${bucket.low}..${bucket.high}, sum ${bucket.total}, last ${bucket.last}`;

/** Sums depend on the order of adding in their last digits; everything else must be the same. */
const same = (a: Counted, b: Counted): boolean =>
  a.count === b.count &&
  a.low === b.low &&
  a.high === b.high &&
  a.last === b.last &&
  Math.abs(a.total - b.total) <= 1e-9 * Math.max(1, a.count * Math.max(Math.abs(a.low), Math.abs(a.high)));

/** Counts every roll-up again from the readings, in SQL, apart from the code that keeps them. */
export function recount(database: Database): Recount {
  const single = (sql: string) => database.prepare<[], number>(sql).pluck().get() ?? 0;
  const result: Recount = {
    readings: single('SELECT count(*) FROM reading'),
    unsettled: single(`SELECT count(*) ${settled.replace('<=', '>')}`),
    buckets: 0,
    wrong: 0,
    examples: [],
  };
  for (const { name, widthMs } of rollupTables) {
    const wanted = new Map(
      database
        .prepare<[], Counted>(fromReadings(widthMs))
        .all()
        .map((bucket) => [keyOf(bucket), bucket]),
    );
    const found = new Map(
      database
        .prepare<[], Counted>(fromRollup(name))
        .all()
        .map((bucket) => [keyOf(bucket), bucket]),
    );
    for (const key of new Set([...wanted.keys(), ...found.keys()])) {
      const [right, there] = [wanted.get(key), found.get(key)];
      result.buckets += 1;
      if (right !== undefined && there !== undefined && same(right, there)) continue;
      result.wrong += 1;
      if (result.examples.length < 20)
        result.examples.push(`${name} ${key}: holds ${tell(there)}; the readings say ${tell(right)}`);
    }
  }
  return result;
}
