import { describe, expect, test } from 'vitest';
import { coverage, evennessOfClumps, shareAt } from '../../shared/growth/overlap.ts';
import { evennessOf } from '../../shared/growth/points.ts';
import {
  type Box,
  clumped,
  densityOf,
  nearestDistances,
  onLattice,
  type Points,
  scattered,
  spreadByHand,
  worstShare,
} from '../tools/random-points.ts';

/** The overlap formula against points laid out in space: derived by Monte-Carlo here, from nothing but geometry. */
const seeds = ['one', 'two', 'three'];
/** A litre, in cm. */
const litre: Box = [10, 10, 10];
const scaled = (points: Points): Points => points.map((at) => 10 * at);

/** Greatest distance in share over all radii, that is at all times. */
function distance(points: Points, evenness: number, seed: string): number {
  const measured = nearestDistances(points, litre, 8000, false, `places ${seed}`);
  const perCm3 = densityOf(points, litre);
  return worstShare(measured, (radiusCm) => shareAt(coverage(perCm3, 10 * radiusCm), evenness));
}

describe.each(seeds)('seed %s', (seed) => {
  test.each([1000, 2500])('%i points at random: within 2 points of share at all times', (count) => {
    expect(distance(scattered(count, litre, seed), Number.POSITIVE_INFINITY, seed)).toBeLessThan(0.02);
  });

  test('kernels of a lattice, 7.5 in a hundred of them points as after a shake: within 3', () => {
    const points = scaled(onLattice(36, 0.075, seed));
    expect(points.length / 3).toBeGreaterThan(1000);
    // The formula knows no kernels; early on a sphere takes them in one shell after another.
    expect(distance(points, Number.POSITIVE_INFINITY, seed)).toBeLessThan(0.03);
  });

  test.each([
    [1.5, 8],
    [1.5, 30],
    [3, 4],
    [3, 15],
    [3, 80],
    [6, 30],
  ])('clumps of shape %f and %i points each, corrected: within 4', (shape, perClump) => {
    const points = scaled(clumped(8, perClump, shape, seed));
    expect(points.length / 3).toBeGreaterThan(1000);
    expect(distance(points, evennessOfClumps(shape, perClump), seed)).toBeLessThan(0.04);
  });
});

test('without the correction clumps of few points are off by more', () => {
  const points = scaled(clumped(8, 8, 1.5, 'one'));
  expect(distance(points, 1.5, 'one')).toBeGreaterThan(0.08);
  expect(distance(points, Number.POSITIVE_INFINITY, 'one')).toBeGreaterThan(0.04);
});

/** What k stands for when few points lie between walls: the mean over many bags of 3.5 L. */
function overBags(lay: (seed: string) => Points, count: number) {
  const box: Box = [15.2, 15.2, 15.2];
  const bags = Array.from({ length: 120 }, (_, bag) =>
    nearestDistances(lay(`bag ${bag}`), box, 150, true, `places ${bag}`),
  );
  const measured = Float64Array.from(bags.flatMap((bag) => [...bag])).sort();
  const perCm3 = count / (box[0] * box[1] * box[2]);
  return (evenness: number) =>
    worstShare(measured, (radiusCm) => shareAt(coverage(perCm3, 10 * radiusCm), evenness));
}

describe('few points between walls, mean over bags', () => {
  const box: Box = [15.2, 15.2, 15.2];

  test.each([10, 20])('%i wedges spread by hand behave like the evenness assumed, within 5', (count) => {
    const off = overBags((seed) => spreadByHand(count, box, seed), count);
    expect(off(evennessOf['agar-wedges'])).toBeLessThan(0.05);
    expect(off(1.5)).toBeGreaterThan(0.05);
  });

  test('200 points quite at random behave like 4, within 2', () => {
    expect(overBags((seed) => scattered(200, box, seed), 200)(4)).toBeLessThan(0.02);
  });
});
