import fc from 'fast-check';
import { expect, test } from 'vitest';
import { coverage, coverageFor, shareAt } from '../../shared/growth/overlap.ts';

const share = fc.double({ min: 0, max: 0.999, noNaN: true });
const evenness = fc.oneof(
  fc.double({ min: 0.3, max: 50, noNaN: true }),
  fc.constant(Number.POSITIVE_INFINITY),
);
const seed = 20250;

test('coverageFor undoes shareAt', () => {
  fc.assert(
    fc.property(share, share, evenness, (a, b, k) => {
      const [start, target] = [Math.min(a, b), Math.max(a, b)];
      expect(shareAt(coverageFor(target, k, start), k, start)).toBeCloseTo(target, 9);
    }),
    { seed },
  );
});

test('the share stays in [start, 1] and grows with radius and with points', () => {
  const size = fc.double({ min: 0, max: 60, noNaN: true });
  const points = fc.double({ min: 1e-4, max: 5, noNaN: true });
  fc.assert(
    fc.property(size, size, points, share, evenness, (radius, more, n, start, k) => {
      const here = shareAt(coverage(n, radius), k, start);
      expect(here).toBeGreaterThanOrEqual(start - 1e-12);
      expect(here).toBeLessThanOrEqual(1);
      expect(shareAt(coverage(n, radius + more), k, start)).toBeGreaterThanOrEqual(here - 1e-12);
      expect(shareAt(coverage(n * 1.5, radius), k, start)).toBeGreaterThanOrEqual(here - 1e-12);
    }),
    { seed },
  );
});
