import { expect, test } from 'vitest';
import { sobolDimensions, sobolPoints } from '../../../shared/stats/sobol.ts';

const bits = 8;
const count = 2 ** bits;
const points = sobolPoints(bits, sobolDimensions);
const at = (row: number, dimension: number) => points[row * sobolDimensions + dimension]!;

test('every coordinate alone has one point in each of 256 strata', () => {
  for (let dimension = 0; dimension < sobolDimensions; dimension++) {
    const strata = new Set(Array.from({ length: count }, (_, row) => Math.floor(at(row, dimension) * count)));
    expect(strata.size).toBe(count);
  }
});

test('every pair of coordinates fills a 4 x 4 board evenly, to within a few points a square', () => {
  for (let one = 0; one < sobolDimensions; one++)
    for (let two = 0; two < one; two++) {
      const squares = new Array(16).fill(0);
      for (let row = 0; row < count; row++)
        squares[Math.floor(at(row, one) * 4) * 4 + Math.floor(at(row, two) * 4)]++;
      expect(Math.max(...squares)).toBeLessThanOrEqual(24);
      expect(Math.min(...squares)).toBeGreaterThanOrEqual(8);
    }
});

test('the first two coordinates are a (0, 8, 2) net: every 16 x 16 square holds one point', () => {
  const squares = new Set<number>();
  for (let row = 0; row < count; row++)
    squares.add(Math.floor(at(row, 0) * 16) * 16 + Math.floor(at(row, 1) * 16));
  expect(squares.size).toBe(count);
});
