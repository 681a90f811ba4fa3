import { expect, test } from 'vitest';
import { finishedBatchOf } from '../../../../collector/learning/finish.ts';
import { observedReady, outcomeOf, outdated } from '../../../../collector/learning/outcome.ts';
import type { BagEvent } from '../../../../shared/bags.ts';
import { deriveBatch } from '../../../../shared/batches/derive-batch.ts';
import type { KeptForecast } from '../../../../shared/learning.ts';
import { createEventWriter, day, making } from '../../../tools/bag-events.ts';

const event = createEventWriter();
const batchOf = (...events: BagEvent[]) => deriveBatch([event('made', 0, making), ...events], 'all')!;

test('full is between the look that found it and the one before', () => {
  const batch = batchOf(
    event('checked', 4, { share: 0.4 }),
    event('checked', 9, { share: 1 }),
    event('used', 10, {}),
  );
  const outcome = outcomeOf(batch);
  expect(outcome).toMatchObject({ kind: 'seen', from: day(4), to: day(9) });
  expect(observedReady(outcome as { from: number; to: number })).toBe(day(6.5));
});

test('of several cohorts the first that was seen full tells', () => {
  const batch = batchOf(
    event('moved', 1, { bags: [1, 2], shelf: 'A2' }),
    event('checked', 8, { bags: [3, 4, 5, 6], share: 1 }),
  );
  expect(outcomeOf(batch)).toMatchObject({ kind: 'seen', bags: [3, 4, 5, 6], from: day(0), to: day(8) });
});

test('what nobody saw full is censored when its last bag left, with why; until then it is not finished', () => {
  const looked = event('checked', 5, { share: 0.5 });
  expect(
    outcomeOf(batchOf(looked, event('discarded', 6, { bags: [1], reason: 'green patch' }))),
  ).toBeUndefined();
  const gone = event('discarded', 6, { reason: 'green patch' });
  expect(outcomeOf(batchOf(looked, gone))).toEqual({ kind: 'censored', from: day(5), reason: 'green patch' });
  expect(outcomeOf(batchOf(looked, event('used', 9, {})))).toMatchObject({
    reason: 'used before it was seen full',
  });
});

test('what was put down is out of date once the look that found it full was taken back, and not when bags part', () => {
  const early = event('checked', 4, { share: 0.4 });
  const full = event('checked', 9, { share: 1 });
  const batch = batchOf(early, full);
  const row = { batch: batch.id, outcome: outcomeOf(batch)! };
  const now = (...events: BagEvent[]) => new Map([[batch.id, batchOf(early, full, ...events)]]);
  expect(outdated([row], now())).toEqual([]);
  expect(outdated([row], now(event('used', 10, { bags: [1, 2] })))).toEqual([]);
  expect(outdated([row], now(event('undone', 11, { event: full.id })))).toEqual([batch.id]);
  expect(outdated([row], new Map())).toEqual([]);
});

test('each occasion takes the first forecast after it, three days before the last one until then', () => {
  const batch = batchOf(
    event('checked', 4, { share: 0.3 }),
    event('shaken', 4.1, {}),
    event('checked', 9, { share: 0.9 }),
    event('checked', 10, { share: 1 }),
  );
  const kept: KeptForecast[] = Array.from({ length: 44 }, (_, quarter) => ({
    batch: batch.id,
    bags: [1, 2, 3, 4, 5, 6],
    asOf: day(0.1 + quarter / 4),
    ready: null,
    share: { low: 0, likely: 0, high: 0 },
    degreeDays: quarter * 5,
    coreTempC: 24,
  }));
  const finished = finishedBatchOf({
    batch,
    outcome: outcomeOf(batch)!,
    species: 'oyster',
    traits: 'no air',
    kept,
    knownAt: day(11),
  });
  const at = Object.fromEntries(Object.entries(finished.forecasts).map(([key, { asOf }]) => [key, asOf]));
  expect(at).toEqual({
    inoculation: day(0.1),
    'first-check': day(4.1),
    shaken: day(4.1),
    'three-days-before': day(6.35),
  });
  // Full half-way between day 9 and 10; 5 degree-days a quarter of a day from day 0.1 on.
  expect(finished.degreeDays).toBeCloseTo(9.4 * 20, 6);
  expect(finished).toMatchObject({ traits: null, why: 'no air', shakenAt: day(4.1) });
});
