import { expect, test } from 'vitest';
import { deriveBatch } from '../../../../shared/batches/derive-batch.ts';
import { createEventWriter, day, madeAt, making } from '../../../tools/bag-events.ts';

const event = createEventWriter();
const made = event('made', 0, making);

test('a batch just made is one cohort of all its bags, standing nowhere', () => {
  expect(deriveBatch([made])).toEqual({
    id: 'K7M-4RT',
    ...making,
    madeAt,
    madeBy: 'Ada',
    parent: null,
    cohorts: [
      {
        id: 'K7M-4RT/1',
        batch: 'K7M-4RT',
        bags: [1, 2, 3, 4, 5, 6],
        shelf: null,
        stays: [{ from: madeAt, shelf: null }],
        checks: [],
        shakes: [],
      },
    ],
    used: [],
    discarded: [],
    endedAt: null,
  });
});

test('there is no batch without a making, or once it was taken back', () => {
  const placed = event('placed', 0, { shelf: 'A1' });
  expect(deriveBatch([placed])).toBeUndefined();
  expect(deriveBatch([made, event('undone', 1, { event: made.id })])).toBeUndefined();
});

test('cohorts part where bags do, and keep what they shared', () => {
  const state = deriveBatch([
    made,
    event('placed', 0, { shelf: 'A1' }),
    event('checked', 6, { share: 0.3, id: 'check-at-six' }),
    event('shaken', 7, { bags: [1, 2, 3] }),
    event('moved', 8, { bags: [3, 4], shelf: 'A2' }),
  ]);
  const check = { t: day(6), share: 0.3, who: 'Ada', event: 'check-at-six' };
  const inA1 = { from: madeAt, shelf: 'A1' };
  const toA2 = { from: day(8), shelf: 'A2' };
  expect(state?.cohorts).toMatchObject([
    { id: 'K7M-4RT/1', bags: [1, 2], shelf: 'A1', stays: [inA1], checks: [check], shakes: [day(7)] },
    { id: 'K7M-4RT/3', bags: [3], shelf: 'A2', stays: [inA1, toA2], checks: [check], shakes: [day(7)] },
    { id: 'K7M-4RT/4', bags: [4], shelf: 'A2', stays: [inA1, toA2], checks: [check], shakes: [] },
    { id: 'K7M-4RT/5', bags: [5, 6], shelf: 'A1', stays: [inA1], checks: [check], shakes: [] },
  ]);
});

test('a stay of no time never was, and bags that part and meet within one instant are one cohort', () => {
  const state = deriveBatch([
    made,
    event('placed', 1, { shelf: 'A1' }),
    event('moved', 2, { bags: [1, 2], shelf: 'A2' }),
    event('moved', 2, { bags: [1, 2], shelf: 'A1' }),
  ]);
  expect(state?.cohorts).toHaveLength(1);
  expect(state?.cohorts[0]?.stays).toEqual([
    { from: madeAt, shelf: null },
    { from: day(1), shelf: 'A1' },
  ]);
});

test('used and discarded bags leave; the batch ends with the last of them', () => {
  const early = [
    made,
    event('used', 10, { bags: [2, 1] }),
    event('discarded', 9, { bags: [3], reason: 'green spots' }),
  ];
  expect(deriveBatch(early)).toMatchObject({
    cohorts: [{ id: 'K7M-4RT/4', bags: [4, 5, 6] }],
    used: [
      { bag: 1, t: day(10) },
      { bag: 2, t: day(10) },
    ],
    discarded: [{ bag: 3, t: day(9), reason: 'green spots' }],
    endedAt: null,
  });
  expect(deriveBatch([...early, event('used', 12, {})])).toMatchObject({ cohorts: [], endedAt: day(12) });
});

test('all that stand means all that stood then: a discard told late leaves the shake before it alone', () => {
  const shaken = event('shaken', 7, {});
  const discarded = event('discarded', 3, { bags: [6], reason: 'torn' });
  const state = deriveBatch([made, shaken, discarded]);
  expect(state?.cohorts).toMatchObject([{ bags: [1, 2, 3, 4, 5], shakes: [day(7)] }]);
});

test('taking back a taking-back restores what it took', () => {
  const shaken = event('shaken', 7, {});
  const undo = event('undone', 8, { event: shaken.id });
  const redo = event('undone', 9, { event: undo.id });
  expect(deriveBatch([made, shaken, undo])?.cohorts[0]?.shakes).toEqual([]);
  expect(deriveBatch([made, shaken, undo, redo])).toEqual(deriveBatch([made, shaken]));
});
