import { describe, expect, test } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { ancestorsOf, withAncestors } from '../../../collector/forecast/lineage.ts';
import type { BatchState } from '../../../shared/batches.ts';
import { at, batchOf, dayOf, engineWith, farm, readings } from './farm.ts';

/** Two hours of 42 °C on the sixth day. */
const hot = (day: number): number => (day > 6 && day < 6.5 ? 42 : 24);
const poured = { way: 'grain-to-grain', partsPerSpawn: 10 } as const;

const parent: BatchState = {
  ...batchOf({ id: 'p1' }),
  endedAt: at(7),
  cohorts: [{ ...batchOf({ id: 'p1' }).cohorts[0]!, left: { t: at(7), how: 'used', reason: 'poured' } }],
};
const child = (id = 'c1'): BatchState => ({
  ...batchOf({ id, madeDay: 7, inoculation: poured }),
  generation: 'G2',
  parent: { batch: 'p1' },
});

function forecasts(batches: BatchState[], air = hot) {
  return engineWith(batches, air).advance(at(8)).forecasts;
}

describe('heat handed down', () => {
  test('children show the exposure of the bags that they were poured from, are marked, and say what to look for', () => {
    const [one] = forecasts([parent, child()]);
    const bag = engineWith([batchOf({ id: 'p1' })], hot).advance(at(7)).forecasts[0]!;
    expect(one!.heat.equivalentHours).toBe(0);
    expect(one!.heat.inheritedHours).toBeCloseTo(bag.heat.equivalentHours, 6);
    expect(one!.marks).toContain('ran-hot');
    expect(one!.notes.join()).toContain('Poured from bags that ran hot');
    expect(one!.notes.join()).not.toMatch(/dead/i);
  });

  test('they grow more slowly for a time, the more the sooner they were poured', () => {
    const likely = (batches: BatchState[]) => dayOf(forecasts(batches)[0]!.ready.at!.likely);
    const untouched = likely([child()]);
    expect(likely([parent, child()])).toBeGreaterThan(untouched + 0.1);
  });

  test('grandchildren show it too', () => {
    const middle: BatchState = { ...child('m1'), endedAt: at(12) };
    middle.cohorts = [{ ...middle.cohorts[0]!, left: { t: at(12), how: 'used', reason: '' } }];
    const last: BatchState = {
      ...batchOf({ id: 'g1', madeDay: 12, inoculation: poured }),
      parent: { batch: 'm1' },
    };
    const one = engineWith([parent, middle, last], hot).advance(at(13)).forecasts[0]!;
    expect(one.cohort).toBe('g1/1');
    expect(one.heat.inheritedHours).toBeGreaterThan(1);
  });

  test('only the bag that was poured from counts, where it is known', () => {
    const cohort = parent.cohorts[0]!;
    const parted: BatchState = {
      ...parent,
      cohorts: [
        { ...cohort, bags: [1], stays: [{ from: at(0), shelf: 'D1' }] },
        { ...cohort, id: 'p1/2', bags: [2, 3] },
      ],
    };
    const from = (bag: number): BatchState => ({ ...child(), parent: { batch: 'p1', bag } });
    expect(forecasts([parted, from(1)])[0]!.heat.inheritedHours).toBeUndefined();
    expect(forecasts([parted, from(2)])[0]!.heat.inheritedHours).toBeGreaterThan(1);
  });

  test('it does not matter whether the parent ended before the child was told, or its heat was told late', () => {
    const expected = forecasts([parent, child()]);
    const engine = createEngine();
    engine.setFarm(farm);
    const { t, value } = readings(-3, 30, hot);
    const late = t.map((_, i) => i).filter((i) => dayOf(t[i]!) > 5.9 && dayOf(t[i]!) < 6.6);
    const early = [...t.keys()].filter((i) => !late.includes(i));
    const add = (list: ArrayLike<number> & Iterable<number>) =>
      engine.addReadings(
        'on-a1.temperature',
        Array.from(list, (i) => t[i]!),
        Array.from(list, (i) => value[i]!),
      );
    add(early);
    engine.setBatches([batchOf({ id: 'p1' })]);
    engine.advance(at(6.9));
    engine.setBatches([parent]);
    engine.setBatches([child()]);
    engine.advance(at(7.5));
    add(late);
    expect(engine.advance(at(8)).forecasts).toEqual(expected);
  });
});

test('ancestors are followed as far as they are known', () => {
  const known = new Map([['p1', parent]]);
  const get = (id: string) => known.get(id);
  expect(ancestorsOf(child(), get).map(({ id }) => id)).toEqual(['p1']);
  expect(ancestorsOf({ ...child(), parent: { batch: 'lost' } }, get)).toEqual([]);
  expect(
    withAncestors([child(), child('c2')], get)
      .map(({ id }) => id)
      .sort(),
  ).toEqual(['c1', 'c2', 'p1']);
  // A circle, which no record allows, ends.
  known.set('p1', { ...parent, parent: { batch: 'p1' } });
  expect(ancestorsOf(child(), get).length).toBeLessThan(20);
});
