import { AppError } from '../errors.ts';

/**
 * Middle of a sample, the mean of the middle two for an even count.
 * @throws AppError 'out-of-range' for an empty sample.
 */
export function median(values: ArrayLike<number>): number {
  if (values.length === 0) throw new AppError('out-of-range', 'a median needs at least one value');
  const sorted = Float64Array.from(values).sort();
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

/** Median distance from the median. */
export function medianAbsoluteDeviation(values: ArrayLike<number>): number {
  const middle = median(values);
  return median(Float64Array.from(values, (value) => Math.abs(value - middle)));
}

/** Standard deviation as told by the median deviation: 1.4826 MAD, right for a normal, deaf to outliers. */
export const robustSd = (values: ArrayLike<number>): number =>
  1.4826022185056018 * medianAbsoluteDeviation(values);
