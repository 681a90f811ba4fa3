import { describe, expect, test } from 'vitest';
import type { Reading, ReadingsHistory, SeriesQuestion } from '../../shared/readings.ts';
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts';

export const t0 = Date.UTC(2026, 8, 1);
const channel = 'warm-a1.temperature';

export const readingOf = (t: number, value: number, more: Partial<Reading> = {}): Reading => {
  return { channel, t, value, raw: value, quality: 'good', retained: false, receivedAt: t, ...more };
};

/** Ten days, one reading each 40 s with a gap of a day in them; quarters, so that sums are exact. */
function longRun(): Reading[] {
  const readings: Reading[] = [];
  for (let index = 0; index < (10 * dayMs) / 40_000; index++) {
    const t = t0 + index * 40_000;
    if (t >= t0 + 4 * dayMs && t < t0 + 5 * dayMs) continue;
    readings.push(readingOf(t, 20 + (index % 29) / 4));
  }
  return readings;
}

/** Points by the plainest means, to hold the stores against. */
function expected(readings: readonly Reading[], { from, to }: SeriesQuestion, bucketMs: number) {
  const start = Math.floor(from / bucketMs) * bucketMs;
  const end = Math.ceil(to / bucketMs) * bucketMs;
  const buckets = new Map<number, Reading[]>();
  for (const reading of [...readings].sort((a, b) => a.t - b.t)) {
    if (reading.t < start || reading.t >= end) continue;
    const t = Math.floor(reading.t / bucketMs) * bucketMs;
    const bucket = buckets.get(t);
    if (bucket === undefined) buckets.set(t, [reading]);
    else bucket.push(reading);
  }
  return [...buckets].map(([t, inside]) => {
    const values = inside.map((reading) => reading.value);
    return {
      t,
      count: values.length,
      min: values.reduce((low, value) => Math.min(low, value)),
      max: values.reduce((high, value) => Math.max(high, value)),
      mean: values.reduce((sum, value) => sum + value, 0) / values.length,
      last: values.at(-1)!,
      marked: inside.filter((reading) => reading.quality !== 'good').length,
    };
  });
}

export interface HistoryUnderTest {
  history: ReadingsHistory;
  /** Stores readings, in this order, and resolves once the history can tell them. */
  store(readings: readonly Reading[]): Promise<void>;
}

/** What every adapter of ReadingsHistory promises. `open` gives an empty one. */
export function historySuite(name: string, open: () => Promise<HistoryUnderTest>): void {
  describe(name, () => {
    const all = longRun();
    const whole = { channel, from: t0, to: t0 + 10 * dayMs };

    test('knows which channels have readings', async () => {
      const { history, store } = await open();
      expect(await history.channels()).toEqual([]);
      await store([readingOf(t0, 20), readingOf(t0, 60, { channel: 'warm-a1.humidity' })]);
      expect(await history.channels()).toEqual(['warm-a1.humidity', 'warm-a1.temperature']);
    });

    test('answers an unknown channel, an empty span and a span turned round with nothing', async () => {
      const { history, store } = await open();
      await store([readingOf(t0, 20)]);
      for (const question of [
        { channel: 'none.humidity', from: t0, to: t0 + dayMs },
        { channel, from: t0 + 1, to: t0 + dayMs },
        { channel, from: t0 + dayMs, to: t0 },
      ])
        expect((await history.series({ ...question, maxPoints: 100 })).points).toEqual([]);
    });

    test('raw readings while they are few: from inclusive, to exclusive', async () => {
      const { history, store } = await open();
      await store([readingOf(t0, 20), readingOf(t0 + 1, 20.5), readingOf(t0 + 2, 21)]);
      expect(await history.series({ channel, from: t0, to: t0 + 2, maxPoints: 2 })).toEqual({
        channel,
        bucketMs: 0,
        points: [20, 20.5].map((value, index) => ({
          t: t0 + index,
          count: 1,
          min: value,
          max: value,
          mean: value,
          last: value,
          marked: 0,
        })),
      });
    });

    test('a span is told by the finest width that keeps to the points asked for', async () => {
      const { history, store } = await open();
      await store(all);
      for (const [spanMs, maxPoints, bucketMs] of [
        [2 * hourMs, 200, 0],
        [2 * hourMs, 120, minuteMs],
        [dayMs, 1_440, minuteMs],
        [dayMs, 96, 15 * minuteMs],
        [10 * dayMs, 2_000, 15 * minuteMs],
        [10 * dayMs, 40, 6 * hourMs],
        [10 * dayMs, 11, dayMs],
        [10 * dayMs, 1, 10 * dayMs],
      ] as const) {
        const question = { channel, from: t0, to: t0 + spanMs, maxPoints };
        const series = await history.series(question);
        expect(series.bucketMs, `${spanMs} ms in ${maxPoints} points`).toBe(bucketMs);
        expect(series.points).toEqual(expected(all, question, bucketMs || 1));
        expect(series.points.length).toBeLessThanOrEqual(maxPoints + 1);
      }
    });

    test('a span that begins and ends inside buckets has those whole', async () => {
      const { history, store } = await open();
      await store(all);
      const question = { channel, from: t0 + 7 * minuteMs, to: t0 + 8 * hourMs + minuteMs, maxPoints: 40 };
      const { points, bucketMs } = await history.series(question);
      expect(bucketMs).toBe(15 * minuteMs);
      expect(points[0]?.t).toBe(t0);
      expect(points).toEqual(expected(all, question, bucketMs));
    });

    test('order of arrival plays no part, and readings told twice count once', async () => {
      const { history, store } = await open();
      const few = all.slice(0, 400);
      // Every seventh from the end first, then the rest from the front, then some again.
      const seventh = few.filter((_, index) => index % 7 === 0).reverse();
      await store(seventh);
      await store(few);
      await store(few.slice(100, 200));
      for (const maxPoints of [5, 50, 300, 2_000]) {
        const { points, bucketMs } = await history.series({ ...whole, maxPoints });
        expect(points).toEqual(expected(few, { ...whole, maxPoints }, bucketMs || 1));
      }
    });

    test('says how many readings of a bucket are marked', async () => {
      const { history, store } = await open();
      const readings = [
        readingOf(t0, 20),
        readingOf(t0 + 10_000, 99, { quality: 'out-of-range' }),
        readingOf(t0 + 20_000, 21, { quality: 'suspect' }),
        readingOf(t0 + 25_000, 20.5, { quality: 'clock-skew' }),
        readingOf(t0 + 90_000, 22),
      ];
      await store(readings);
      for (const maxPoints of [1, 2, 5]) {
        const { points, bucketMs } = await history.series({ ...whole, maxPoints });
        expect(points).toEqual(expected(readings, { ...whole, maxPoints }, bucketMs || 1));
      }
    });
  });
}
