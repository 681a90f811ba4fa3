import { expect, test } from 'vitest';
import { pointsAfterShake, pointsPerCm3 } from '../../../shared/growth/points.ts';

test('points of each way of inoculating', () => {
  expect(pointsPerCm3({ way: 'grain-to-grain', partsPerSpawn: 10 }, 3.5)).toBeCloseTo(12 / 11 / 10, 12);
  expect(pointsPerCm3({ way: 'agar-wedges', pieces: 14 }, 3.5)).toBeCloseTo(0.004, 12);
  expect(pointsPerCm3({ way: 'liquid-culture', volumeMl: 7 }, 3.5)).toBeCloseTo(0.04, 12);
});

test('a shake turns a quarter of the colonized kernels into points', () => {
  expect(pointsAfterShake(0.3)).toBeCloseTo(0.9, 12);
});
