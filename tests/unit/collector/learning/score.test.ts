import { expect, test } from 'vitest';
import { degreeDays, fixedDays, nextOf } from '../../../../collector/learning/rules.ts';
import { sayingsOf, scoresOf } from '../../../../collector/learning/score.ts';
import { dayMs } from '../../../../shared/time.ts';
import { finishedBatch } from '../../../tools/finished-batch.ts';

const baseOf = () => 5;
const days = (t: number, from: { madeAt: number }) => (t - from.madeAt) / dayMs;

test('the next number: practice first, then the batches, with the spread that they had', () => {
  const [low, likely, high] = nextOf([], 14);
  expect(likely).toBeCloseTo(14, 9);
  // Student's t with 4 degrees reaches 1.533 at 90 %; a batch adds its own spread to that of the mean.
  expect(high).toBeCloseTo(14 * Math.exp(1.533206 * 0.3 * Math.SQRT2), 3);
  expect(low).toBeCloseTo(14 ** 2 / high, 6);
  const [low20, likely20, high20] = nextOf(new Array(20).fill(10), 14);
  expect(likely20).toBeCloseTo(10, 0);
  expect(high20 - low20).toBeLessThan((high - low) / 2);
});

test('both rules go by batches of the species and way that were finished by then', () => {
  const past = [0, 1, 2, 3, 4, 5, 6, 7].map((day) =>
    finishedBatch(`A${day}`, { madeDay: day, readyDays: 10 }),
  );
  const others = [0, 1, 2].map((day) =>
    finishedBatch(`B${day}`, { madeDay: day, readyDays: 30, species: 'reishi', strain: 'fen-3' }),
  );
  const next = finishedBatch('C', { madeDay: 40 });
  const forecast = next.forecasts.inoculation!;
  expect(days(fixedDays(next, forecast, [...past, ...others]).likely, next)).toBeCloseTo(10.4, 0);
  // 190 degree-days as before; 19 a day at 24 °C over a base of 5.
  expect(days(degreeDays(baseOf)(next, forecast, [...past, ...others]).likely, next)).toBeCloseTo(10.4, 0);
  const none = fixedDays(next, forecast, []);
  expect(days(none.likely, next)).toBeCloseTo(14, 6);
});

test('neither rule says an instant that is over', () => {
  const past = [0, 1, 2, 3].map((day) => finishedBatch(`A${day}`, { madeDay: day, readyDays: 6 }));
  const next = finishedBatch('C', { madeDay: 40 });
  const late = { ...next.forecasts.inoculation!, asOf: next.madeAt + 11 * dayMs, degreeDays: 210 };
  for (const rule of [fixedDays, degreeDays(baseOf)]) expect(rule(next, late, past).earliest).toBe(late.asOf);
});

test('nothing of the future goes into what a rule said', () => {
  const early = finishedBatch('A', { madeDay: 0 });
  const later = finishedBatch('B', { madeDay: 1, readyDays: 30 });
  expect(sayingsOf([early], baseOf)).toEqual(
    sayingsOf([early, later], baseOf).filter(({ batch }) => batch === 'A'),
  );
});

test('scores of sayings that are worked out by hand', () => {
  const saying = (likely: number, observed: number) => ({
    batch: 'A',
    strain: 'larch-2',
    occasion: 'inoculation' as const,
    contestant: 'forecast' as const,
    low: likely - 1.2815515655446004,
    likely,
    high: likely + 1.2815515655446004,
    observed,
  });
  const [line] = scoresOf([saying(10, 10), saying(12, 9), saying(8, 9)]);
  expect(line).toMatchObject({ count: 3, coverage: { inside: 2, share: 2 / 3 } });
  expect(line!.biasDays).toBeCloseTo((0 + 3 - 1) / 3, 9);
  expect(line!.maeDays).toBeCloseTo(4 / 3, 9);
  // Normal with sd 1: 0.23369 at 0, 2.43657 at 3 (published), 0.60244 at 1.
  expect(line!.crpsDays).toBeCloseTo((0.23369 + 2.43657 + 0.60244) / 3, 2);
});

test('a censored batch is not scored, and an end that was not seen is ten weeks off', () => {
  expect(sayingsOf([finishedBatch('A', { readyDays: null })], baseOf)).toEqual([]);
  const blind = finishedBatch('A');
  blind.forecasts.inoculation!.ready = null;
  expect(sayingsOf([blind], baseOf)[0]).toMatchObject({ contestant: 'forecast', likely: 70.2 });
});
