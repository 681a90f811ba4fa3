import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { containerShapes, myceliumPath } from '../../../../../dashboard/web/drawing/container-shapes.ts';
import { raggedFront } from '../../../../../dashboard/web/drawing/ragged-front.ts';
import { chiefMark, standingByShelf } from '../../../../../dashboard/web/drawing/standing.ts';
import { planScale } from '../../../../../dashboard/web/drawing/value-scale.ts';
import { fixtureNow, liveAt } from '../../../../browser/fixture/live.ts';

const points = (path: string) =>
  path
    .split(' L')
    .map((pair) => pair.split(' ').map(Number))
    .map(([x, y]) => ({ x: x!, y: y! }));

describe('the ragged front', () => {
  it('runs from edge to edge, and lies at its level on the mean', () => {
    const front = points(raggedFront(4, 60, 70, 3));
    expect(front[0]?.x).toBe(4);
    expect(front.at(-1)?.x).toBe(60);
    const mean = front.reduce((sum, { y }) => sum + y, 0) / front.length;
    expect(mean).toBeCloseTo(70, 0);
  });

  it('is the same for the same bag and differs between neighbours', () => {
    expect(raggedFront(4, 60, 70, 3)).toBe(raggedFront(4, 60, 70, 3));
    expect(raggedFront(4, 60, 70, 3)).not.toBe(raggedFront(4, 60, 70, 4));
  });

  it('rises with the share, for any bag', () => {
    const level = (share: number, seed: number) =>
      points(raggedFront(3, 61, 118 - share * 90, seed)).reduce((sum, { y }) => sum + y, 0);
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 0.9, noNaN: true }),
        fc.integer({ min: 1, max: 999 }),
        (share, seed) => {
          expect(level(share + 0.1, seed)).toBeLessThan(level(share, seed));
        },
      ),
      { seed: 7 },
    );
  });
});

describe('mycelium', () => {
  it('is not drawn before there is any, and fills the container at the end', () => {
    expect(myceliumPath('bag', 0, 1)).toBeNull();
    expect(myceliumPath('jar', 1, 1)).toContain(`V${containerShapes.jar.grain.bottom}`);
  });

  it('takes shares beyond 0-1 as the nearer end', () => {
    expect(myceliumPath('bag', -2, 1)).toBeNull();
    expect(myceliumPath('bag', 7, 1)).toBe(myceliumPath('bag', 1, 1));
  });
});

describe('what stands on the shelves', () => {
  it('is every placed bag once, oldest batch leftmost', () => {
    const { batches, forecasts, farm } = liveAt(fixtureNow, 'quiet');
    const shelves = standingByShelf(batches, forecasts, farm.containers);
    const placed = batches.flatMap(({ cohorts }) => cohorts).filter(({ shelf }) => shelf !== null);
    const bags = placed.reduce((sum, cohort) => sum + cohort.bags.length, 0);
    expect([...shelves.values()].flat()).toHaveLength(bags);
    const a1 = shelves.get('A1')!;
    const madeAt = a1.map(({ batch }) => batches.find(({ id }) => id === batch)!.madeAt);
    expect(madeAt).toEqual([...madeAt].sort((a, b) => a - b));
  });

  it('shows a bag without a forecast as not yet known', () => {
    const { batches, farm } = liveAt(fixtureNow, 'quiet');
    const [bag] = standingByShelf(batches, [], farm.containers).get('A1')!;
    expect(bag).toMatchObject({ share: null, mark: null });
  });

  it('carries the weightiest mark', () => {
    expect(chiefMark(['ready', 'ran-hot'])).toBe('ran-hot');
    expect(chiefMark(['ready', 'too-old'])).toBe('too-old');
    expect(chiefMark([])).toBeNull();
  });
});

describe('a value’s scale', () => {
  const plan = (value: number, ahead: number | null = null) =>
    planScale({ value, low: 20, high: 28, ahead, openSpan: 8 })!;

  it('keeps the band in its place whatever the value', () => {
    expect(plan(24).band).toEqual(plan(35).band);
    expect(plan(24).pointer).toBeCloseTo(0.5, 10);
  });

  it('says what is outside, now and ahead', () => {
    expect(plan(29.6)).toMatchObject({ outside: true, beyond: false });
    expect(plan(27, 28.5)).toMatchObject({ outside: false, aheadOutside: true });
    expect(plan(28).outside).toBe(false);
  });

  it('pins a value far outside to the end of the scale', () => {
    expect(plan(60)).toMatchObject({ pointer: 1, beyond: true });
    expect(plan(-10)).toMatchObject({ pointer: 0, beyond: true });
  });

  it('draws no arrow for a way too short to see', () => {
    expect(plan(24, 24.1).ahead).toBeNull();
    expect(plan(24, 26).ahead).toBeGreaterThan(0.5);
  });

  it('works with one limit, and needs at least one', () => {
    const upper = planScale({ value: 20, low: null, high: 28, ahead: null, openSpan: 8 })!;
    expect(upper.band.from).toBe(0);
    expect(upper.low).toBeNull();
    expect(planScale({ value: 20, low: null, high: null, ahead: null, openSpan: 8 })).toBeNull();
  });
});
