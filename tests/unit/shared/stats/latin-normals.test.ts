import { describe, expect, it } from 'vitest';
import { latinNormals } from '../../../../shared/stats/latin-normals.ts';
import { normalCdf } from '../../../../shared/stats/normal.ts';

const points = latinNormals(32, 23, 7);
const column = (at: number): number[] => points.map((point) => point[at]!);

describe('evenly spread normal points', () => {
  it('have one point in each stratum of every coordinate, mean 0 and variance 1', () => {
    for (let at = 0; at < 23; at++) {
      const values = column(at);
      expect(values.reduce((sum, value) => sum + value, 0)).toBeCloseTo(0, 9);
      expect(values.reduce((sum, value) => sum + value * value, 0) / 32).toBeCloseTo(1, 9);
      const gaps = values
        .map(normalCdf)
        .sort((a, b) => a - b)
        .map((share, rank) => Math.abs(share - (rank + 0.5) / 32));
      expect(Math.max(...gaps)).toBeLessThan(0.5 / 32);
    }
  });
  it('come in mirrored pairs, nearly uncorrelated, the same for one seed and others for another', () => {
    points.forEach((point, index) => {
      const mirror = points[index ^ 1]!;
      expect([...mirror]).toEqual([...point].map((value) => -value));
    });
    let square = 0;
    for (let a = 0; a < 23; a++)
      for (let b = 0; b < a; b++)
        square += (column(a).reduce((sum, value, index) => sum + value * column(b)[index]!, 0) / 32) ** 2;
    // Sixteen independent pairs would be at 0.25.
    expect(Math.sqrt(square / (23 * 11))).toBeLessThan(0.2);
    expect(latinNormals(32, 23, 7)).toEqual(points);
    expect(latinNormals(32, 23, 8)).not.toEqual(points);
  });
  it('refuse numbers that cannot be', () => {
    expect(() => latinNormals(1, 2, 7)).toThrow(/number of points is 1/);
    expect(() => latinNormals(8, 65, 7)).toThrow(/dimensions of points is 65/);
  });
});
