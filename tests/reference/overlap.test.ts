import { describe, expect, test } from 'vitest';
import { coverage, coverageFor, radiusForMm, shareAt } from '../../shared/growth/overlap.ts';

/** Site-saturated Kolmogorov-Johnson-Mehl-Avrami growth, n = 3; values derived from the published equation. */
describe('overlap of spheres that start together (KJMA, n = 3)', () => {
  const timeTo = (share: number) => Math.cbrt(coverageFor(share, Number.POSITIVE_INFINITY));

  test.each([
    [0.1, 0.5336839],
    [0.25, 0.7459261],
    [0.75, 1.259921],
    [0.9, 1.4920959],
    [0.99, 1.8799231],
  ])('share %f is reached at %f of the time to half', (share, expected) => {
    expect(timeTo(share) / timeTo(0.5)).toBeCloseTo(expected, 6);
  });

  test('5e5 points in a m3 growing 5 mm/d: half at 1.383414 d, 99 % at 2.600713 d', () => {
    const pointsPerCm3 = 0.5;
    const daysTo = (share: number) =>
      radiusForMm(pointsPerCm3, coverageFor(share, Number.POSITIVE_INFINITY)) / 5;
    expect(daysTo(0.5)).toBeCloseTo(1.383414, 6);
    expect(daysTo(0.99)).toBeCloseTo(2.600713, 6);
  });

  test('twice the points take 20.63 % less time', () => {
    expect(radiusForMm(2, 1) / radiusForMm(1, 1) - 1).toBeCloseTo(-0.2063, 4);
  });

  test('the uneven form tends to the plain one for large k, and is slower for every k', () => {
    for (const radiusMm of [2, 5, 10, 15]) {
      const covered = coverage(0.3, radiusMm);
      const even = shareAt(covered, Number.POSITIVE_INFINITY);
      expect(shareAt(covered, 1e9)).toBeCloseTo(even, 7);
      for (const evenness of [0.5, 3, 20]) expect(shareAt(covered, evenness)).toBeLessThan(even);
    }
  });
});
