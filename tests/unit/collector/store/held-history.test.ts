import { expect, onTestFinished, test } from 'vitest';
import { migrations } from '../../../../collector/main.ts';
import { createHeldHistory } from '../../../../collector/store/held-history.ts';
import { createStoreHistory } from '../../../../collector/store/history.ts';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../../collector/store/readings-log.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { Quality, Series } from '../../../../shared/readings.ts';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';
import { smallFarm } from '../../../tools/small-farm.ts';

const from = Date.UTC(2026, 2, 2);
const channel = 'c.cooler-on';
const farm = smallFarm([
  {
    ...{ id: 'c', topic: 'c', decoder: 'plain', at: 'warm', everyS: 300 },
    channels: [{ quantity: 'cooler-on', unit: 'state' }],
  },
]);

/** A cooler whose contact speaks at each change and every five minutes between; series of it, as now is `now`. */
function site(now: number, told: readonly (readonly [t: number, value: number, quality?: Quality])[]) {
  const clock = createManualClock(now);
  const database = openDatabase({ file: ':memory:', migrations, clock });
  onTestFinished(() => void database.close());
  createReadingsLog(database).append(
    told.map(([t, value, quality = 'good']) => {
      return { channel, t, value, raw: value, quality, retained: false, receivedAt: t };
    }),
  );
  const history = createStoreHistory(database);
  const other: Series = { channel: 'x', bucketMs: 1, points: [] };
  const series = createHeldHistory({ rest: async () => other, history, farm: () => farm, clock });
  return { history, other, series };
}

/** On for 4 of each 20 minutes, from 3:10 into them on. */
function cycles(until: number): [number, number][] {
  const told: [number, number][] = [];
  for (let start = from; start < until; start += 20 * minuteMs)
    for (const [second, value] of [
      ...[[10, 0] as const, [190, 100] as const, [310, 100] as const, [430, 0] as const],
      ...[[610, 0] as const, [910, 0] as const],
    ])
      told.push([start + second! * 1000, value!]);
  return told.filter(([t]) => t < until);
}

test('a chart shows the part of the time, not the part of the messages, whatever its span', async () => {
  const until = from + 40 * dayMs;
  const { series } = site(until, cycles(until));
  // A third of the messages say on; a fifth of the time is.
  const week = await series({ channel, from: until - 7 * dayMs, to: until, maxPoints: 200 });
  expect(week.bucketMs).toBe(hourMs);
  expect(week.points).toHaveLength(7 * 24);
  for (const { mean, min, max, marked } of week.points) {
    expect(mean).toBeCloseTo(20, 6);
    expect([min, max, marked]).toEqual([mean, mean, 0]);
  }
  // Beyond eight days quarters of an hour are read: the hour of a message is known less well.
  const all = await series({ channel, from, to: until, maxPoints: 100 });
  expect(all.points.length).toBeGreaterThan(75);
  for (const { mean } of all.points.slice(1)) expect(Math.abs(mean - 20)).toBeLessThan(7);
});

test('the minutes of a run that switches show when it did, and end now', async () => {
  const now = from + 330_000;
  const { series } = site(
    now,
    cycles(from + hourMs).filter(([t]) => t <= now),
  );
  const { points } = await series({ channel, from, to: from + hourMs, maxPoints: 100 });
  expect(points.map(({ mean }) => Math.round(mean))).toEqual([0, 0, 0, 83, 100, 100]);
  expect(points.map(({ t }) => (t - from) / minuteMs)).toEqual([0, 1, 2, 3, 4, 5]);
});

test('silence beyond two expected periods stays open, and what is suspect tells nothing', async () => {
  const now = from + hourMs;
  const { series, history } = site(now, [
    [from, 100],
    [from + 30 * minuteMs, 0, 'suspect'],
    [from + 50 * minuteMs, 0],
  ]);
  const { points } = await series({ channel, from, to: now, maxPoints: 12 });
  expect(points.map(({ t, mean }) => [(t - from) / minuteMs, mean])).toEqual([
    ...[[0, 100] as const, [5, 100] as const, [50, 0] as const, [55, 0] as const],
  ]);
  expect([...Array.from(history.readStates(channel, from, now).value)]).toEqual([100, 0]);
});

test('several messages of a minute: the last holds on, the others share the time before it', () => {
  const { history } = site(from + hourMs, [
    [from + 10_000, 100],
    [from + 20_000, 0],
    [from + 40_000, 100],
  ]);
  const told = history.readStates(channel, from, from + hourMs);
  expect([...Array.from(told.value)]).toEqual([50, 100]);
  expect(Array.from(told.t, (t) => Math.round((t - from) / 1000))).toEqual([13, 40]);
});

test('every other series is answered as before', async () => {
  const { series, other } = site(from, []);
  expect(await series({ channel: 'x', from: 0, to: 1, maxPoints: 1 })).toBe(other);
  expect((await series({ channel, from, to: from, maxPoints: 5 })).points).toEqual([]);
});
