import type { Database } from 'better-sqlite3';
import type { ToldStates } from '../../shared/held-state.ts';
import type { Extremes, RecordedReading, RecordedReadings } from '../../shared/ports.ts';
import {
  type ReadingsHistory,
  rollupWidthsMs,
  type Series,
  type SeriesPoint,
  type SeriesQuestion,
} from '../../shared/readings.ts';
import { addBucket, type Bucket, bucketStart, createBuckets, keyOf } from './bucket.ts';
import { widthsToTry } from './choose-width.ts';
import { markOf, qualityOfCode } from './quality-code.ts';
import { createRollupTables, type MinuteSum } from './rollup-tables.ts';

type RawRow = [t: number, value: number, quality: number];
interface Marks {
  id: number;
  rolledTo: number;
  rawFrom: number;
}

/** Means by minute, of readings fit for forecasts: parallel arrays, ordered, sparse. */
export interface Minutes {
  /** Start of each minute, epoch ms. */
  t: Float64Array;
  mean: Float64Array;
  /** Readings of each. */
  count: Float64Array;
}

const widestMs = rollupWidthsMs.at(-1)!;
const byTime = (a: Bucket, b: Bucket) => a.t - b.t || a.marked - b.marked;

/** Joins the buckets of a time, however marked, and buckets that fall into the same wider one. */
function toPoints(buckets: readonly Bucket[], widthMs: number): SeriesPoint[] {
  const points: SeriesPoint[] = [];
  let joined: Bucket | undefined;
  let marked = 0;
  const close = () => {
    if (joined === undefined) return;
    const { t, count, low, high, total, last } = joined;
    points.push({ t, count, min: low, max: high, mean: total / count, last, marked });
  };
  for (const bucket of buckets) {
    const t = bucketStart(bucket.t, widthMs);
    if (joined?.t === t) addBucket(joined, bucket);
    else {
      close();
      joined = { ...bucket, t };
      marked = 0;
    }
    if (bucket.marked) marked += bucket.count;
  }
  close();
  return points;
}

/**
 * History out of the site's own database. Reads stored roll-ups and lays what is not yet settled over
 * them, so an answer is right at any instant, and from any handle, a read-only one included.
 */
export function createStoreHistory(database: Database) {
  const rollups = createRollupTables(database);
  const marksOf = database.prepare<[string], Marks>(
    'SELECT id, rolled_to AS rolledTo, raw_from AS rawFrom FROM series WHERE channel = ?',
  );
  const channelNames = database.prepare<[], string>('SELECT channel FROM series ORDER BY channel').pluck();
  const rawRows = database
    .prepare<[number, number, number, number], RawRow>(
      'SELECT t, value, quality FROM reading WHERE series = ? AND t >= ? AND t < ? ORDER BY t LIMIT ?',
    )
    .raw();

  const recordedRows = database
    .prepare<[number, number, number], [...RawRow, received: number | null]>(
      'SELECT t, value, quality, received FROM reading WHERE series = ? AND t >= ? AND t < ? ORDER BY t',
    )
    .raw();
  const firstRow = database
    .prepare<[number], number>('SELECT t FROM reading WHERE series = ? ORDER BY t LIMIT 1')
    .pluck();

  /** Buckets that start in [from, to), settled or not. */
  function buckets(marks: Marks, widthMs: number, from: number, to: number): Bucket[] {
    const stored = rollups.read(marks.id, widthMs, from, to);
    const fresh = createBuckets(widthMs);
    const freshFrom = Math.max(marks.rolledTo + 1, from);
    const freshTo = bucketStart(to - 1, widthMs) + widthMs;
    for (const [t, value, code] of rawRows.iterate(marks.id, freshFrom, freshTo, -1))
      fresh.add(t, value, markOf(code));
    const overlay = fresh.all();
    if (overlay.length === 0) return stored;
    const byKey = new Map(stored.map((bucket) => [keyOf(bucket.t, bucket.marked), bucket]));
    for (const bucket of overlay) {
      const same = byKey.get(keyOf(bucket.t, bucket.marked));
      if (same === undefined) stored.push(bucket);
      else addBucket(same, bucket);
    }
    return stored.sort(byTime);
  }

  function answer(question: SeriesQuestion): Series {
    const { channel, from, to } = question;
    const marks = marksOf.get(channel);
    const most = Math.max(1, Math.floor(question.maxPoints));
    if (marks === undefined || !(from < to)) return { channel, bucketMs: 0, points: [] };
    const widths = widthsToTry(question);
    for (const widthMs of widths) {
      const isLast = widthMs === widths.at(-1);
      if (widthMs === 0) {
        if (from < marks.rawFrom) continue;
        const rows = rawRows.all(marks.id, from, to, most + 1);
        if (rows.length > most) continue;
        const points = rows.map(([t, value, code]) => {
          const marked = markOf(code) === 0 ? 0 : 1;
          return { t, count: 1, min: value, max: value, mean: value, last: value, marked };
        });
        return { channel, bucketMs: 0, points };
      }
      const storedMs = Math.min(widthMs, widestMs);
      const start = bucketStart(from, widthMs);
      if (!isLast && rollups.count(marks.id, storedMs, start, to, most + 1) > most) continue;
      const points = toPoints(buckets(marks, storedMs, start, to), widthMs);
      // Counted again, now with what is not yet settled.
      if (isLast || points.length <= most) return { channel, bucketMs: widthMs, points };
    }
    throw new RangeError('widthsToTry ended without a width that fits');
  }
  // One snapshot, so that marks and rows are of the same commit whoever else writes.
  const answerAtOnce = database.transaction(answer);

  const minutes = database.transaction(
    (channel: string, from: number, to: number, estimated: boolean): Minutes => {
      const marks = marksOf.get(channel);
      if (marks === undefined || !(from < to)) {
        const none = new Float64Array(0);
        return { t: none, mean: none, count: none };
      }
      // Years of minutes are read at a start, so there is no object for each as in `buckets`.
      const minute = rollupWidthsMs[0];
      const sums = rollups.minuteSums(marks.id, bucketStart(from, minute), to, estimated);
      const stored = sums.length;
      const fresh = new Map<number, MinuteSum>();
      const freshTo = bucketStart(to - 1, minute) + minute;
      for (const [t, value, code] of rawRows.iterate(
        marks.id,
        Math.max(marks.rolledTo + 1, from),
        freshTo,
        -1,
      )) {
        const mark = markOf(code);
        if (estimated ? mark !== 3 : mark === 1 || mark === 3) continue;
        const start = bucketStart(t, minute);
        const sum = fresh.get(start);
        if (sum === undefined) fresh.set(start, [start, 1, value]);
        else {
          sum[1] += 1;
          sum[2] += value;
        }
      }
      for (
        let at = stored - 1;
        at >= 0 && fresh.size > 0 && sums[at]![0] >= bucketStart(marks.rolledTo, minute);
        at -= 1
      ) {
        const more = fresh.get(sums[at]![0]);
        if (more === undefined) continue;
        sums[at]![1] += more[1];
        sums[at]![2] += more[2];
        fresh.delete(more[0]);
      }
      for (const sum of fresh.values()) sums.push(sum);
      return {
        t: Float64Array.from(sums, ([t]) => t),
        mean: Float64Array.from(sums, ([, count, total]) => total / count),
        count: Float64Array.from(sums, ([, count]) => count),
      };
    },
  );

  const states = database.transaction(
    (channel: string, from: number, to: number, widthMs: number): ToldStates => {
      const marks = marksOf.get(channel);
      const told: [t: number, value: number][] = [];
      if (marks === undefined || !(from < to)) return { t: [], value: [] };
      for (const bucket of buckets(marks, widthMs, bucketStart(from, widthMs), to)) {
        const { t, marked, count, total, last, lastT } = bucket;
        if (marked === 1 || marked === 3) continue;
        // When each of several came is not kept, but for the last: as if they had come evenly.
        if (count > 1) told.push([t + (lastT - t) / count, (total - last) / (count - 1)]);
        told.push([lastT, last]);
      }
      told.sort(([one], [other]) => one - other);
      return { t: Float64Array.from(told, ([t]) => t), value: Float64Array.from(told, ([, value]) => value) };
    },
  );

  const extremes = database.transaction((channel: string, widthMs: number, from: number, to: number) => {
    const marks = marksOf.get(channel);
    const found: Extremes[] = [];
    if (marks === undefined || !(from < to)) return found;
    for (const { t, low, high } of buckets(marks, widthMs, from, to)) {
      const last = found.at(-1);
      // The usable and the marked readings of a time stand apart.
      if (last?.t === t) {
        last.low = Math.min(last.low, low);
        last.high = Math.max(last.high, high);
      } else found.push({ t, low, high });
    }
    return found;
  });

  return {
    series: async (question: SeriesQuestion): Promise<Series> => answerAtOnce(question),
    channels: async (): Promise<string[]> => channelNames.all(),
    /**
     * Means by minute for forecasts: of readings that may feed them, of minutes that start in [from, to) or hold `from`.
     *
     * @param options.estimated those drawn from a hand-written minimum and maximum instead
     */
    readMinutes: (channel: string, from: number, to: number, { estimated = false } = {}): Minutes =>
      minutes(channel, from, to, estimated),
    /**
     * What a state was told to be, out of the roll-up of a width: the last message of each bucket that starts in
     * [from, to) or holds `from`, and the mean of those before it. Of readings that may feed forecasts.
     */
    readStates: (
      channel: string,
      from: number,
      to: number,
      widthMs: (typeof rollupWidthsMs)[number] = rollupWidthsMs[0],
    ): ToldStates => states(channel, from, to, widthMs),
    extremes: (channel: string, widthMs: number, from: number, to: number): Extremes[] =>
      extremes(channel, widthMs, from, to),
    readings(channel: string, from: number, to: number): RecordedReading[] {
      const marks = marksOf.get(channel);
      if (marks === undefined) return [];
      return recordedRows.all(marks.id, from, to).map(([t, value, code, received]) => {
        return { t, value, quality: qualityOfCode(code), receivedAt: received ?? t };
      });
    },
    keptFrom: (channel: string): number | null => {
      const marks = marksOf.get(channel);
      return marks === undefined ? null : Math.max(marks.rawFrom, firstRow.get(marks.id) ?? marks.rawFrom);
    },
  } satisfies ReadingsHistory & RecordedReadings & Record<string, unknown>;
}
export type StoreHistory = ReturnType<typeof createStoreHistory>;
