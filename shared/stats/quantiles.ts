import { AppError } from '../errors.ts';

/** A sample whose members count unequally. Weights need not add up to 1. */
export interface Weighted {
  values: ArrayLike<number>;
  weights: ArrayLike<number>;
}

/**
 * Quantiles of a weighted sample at each of `shares`, in one sort. Each value sits at the middle of its own
 * weight and quantiles run straight between (Hazen's rule for equal weights); beyond the outer middles the
 * outermost value stands. Values of weight zero do not count.
 * @throws AppError 'out-of-range' for an empty sample or no positive weight.
 */
export function weightedQuantiles({ values, weights }: Weighted, shares: readonly number[]): number[] {
  const order = Array.from({ length: values.length }, (_, index) => index)
    .filter((index) => weights[index]! > 0)
    .sort((a, b) => values[a]! - values[b]!);
  const total = order.reduce((sum, index) => sum + weights[index]!, 0);
  if (!(total > 0))
    throw new AppError('out-of-range', 'quantiles need at least one value with a weight above zero');

  const middles = new Float64Array(order.length);
  let before = 0;
  order.forEach((index, rank) => {
    middles[rank] = (before + weights[index]! / 2) / total;
    before += weights[index]!;
  });
  return shares.map((share) => {
    const above = firstAtLeast(middles, share);
    if (above === 0) return values[order[0]!]!;
    if (above === order.length) return values[order[order.length - 1]!]!;
    const low = middles[above - 1]!;
    const part = (share - low) / (middles[above]! - low);
    const from = values[order[above - 1]!]!;
    const to = values[order[above]!]!;
    // Two infinities (never) have no straight line between them.
    return part === 0 || from === to ? from : part === 1 ? to : from + part * (to - from);
  });
}

/** Index of the first element at or above `wanted`; the length when there is none. */
function firstAtLeast(sorted: Float64Array, wanted: number): number {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle]! < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}

export const weightedQuantile = (sample: Weighted, share: number): number =>
  weightedQuantiles(sample, [share])[0]!;

/** Quantile of an unweighted sample, by the same rule. */
export const quantile = (values: ArrayLike<number>, share: number): number =>
  weightedQuantile({ values, weights: new Float64Array(values.length).fill(1) }, share);

/** Kish's effective sample size, (sum w)^2 / sum w^2: n for equal weights, 1 when one holds all; 0 for none. */
export function effectiveSampleSize(weights: ArrayLike<number>): number {
  let sum = 0;
  let squares = 0;
  for (let index = 0; index < weights.length; index++) {
    sum += weights[index]!;
    squares += weights[index]! ** 2;
  }
  return squares > 0 ? (sum * sum) / squares : 0;
}
