import { expect, test } from 'vitest';
import { meanOf, meanOfKnown } from '../../../../shared/stats/mean.ts';

test('a mean of all, and of those that are known of a part', () => {
  expect(meanOf([1, 2, 6])).toBe(3);
  expect(meanOf([1, Number.NaN])).toBeNaN();
  expect(meanOf([])).toBeNaN();
  const values = Float64Array.of(1, Number.NaN, 3, 8);
  expect(meanOfKnown(values)).toBe(4);
  expect(meanOfKnown(values, 1, 3)).toBe(3);
  expect(meanOfKnown(values, -5, 2)).toBe(1);
  expect(meanOfKnown(values, 3, 99)).toBe(8);
  expect(meanOfKnown(values, 1, 2)).toBeNaN();
});
