import { AppError } from '../errors.ts';
import { normalCdf, normalDensity } from './normal.ts';
import type { Weighted } from './quantiles.ts';

const needsOne = (count: number, what: string): void => {
  if (count === 0) throw new AppError('out-of-range', `${what} needs at least one forecast`);
};

/**
 * Continuous ranked probability score of a normal forecast, in the unit of the observation; lower is better.
 * Gneiting & Raftery 2007, JASA 102:359-378. With sd 0 it is the absolute error.
 */
export function crpsNormal(observed: number, mean: number, sd: number): number {
  if (!(sd > 0)) return Math.abs(observed - mean);
  const z = (observed - mean) / sd;
  return sd * (z * (2 * normalCdf(z) - 1) + 2 * normalDensity(z) - 1 / Math.sqrt(Math.PI));
}

/**
 * CRPS of a weighted ensemble as the distribution that it is: E|X - y| - E|X - X'| / 2, in one sort.
 * @throws AppError 'out-of-range' without a positive weight.
 */
export function crpsEnsemble(observed: number, { values, weights }: Weighted): number {
  const order = Array.from({ length: values.length }, (_, index) => index).sort(
    (a, b) => values[a]! - values[b]!,
  );
  const total = order.reduce((sum, index) => sum + weights[index]!, 0);
  if (!(total > 0)) throw new AppError('out-of-range', 'CRPS needs a member with a weight above zero');
  let distance = 0;
  let spread = 0;
  let below = 0;
  for (const index of order) {
    const weight = weights[index]! / total;
    const value = values[index]!;
    if (weight === 0) continue;
    distance += weight * Math.abs(value - observed);
    // Sum over pairs of w_i w_j |x_i - x_j|, each value times the weight below it less that above it.
    spread += weight * value * (2 * below + weight - 1);
    below += weight;
  }
  return distance - spread;
}

/**
 * CRPS of equally likely members seen as draws from a wider distribution: the spread term is divided by
 * m (m - 1) instead of m^2, so that a small ensemble is not blamed for being small (Ferro 2014, QJRMS 140:1917-1923).
 * @throws AppError 'out-of-range' with fewer than two members.
 */
export function crpsFair(observed: number, values: ArrayLike<number>): number {
  const count = values.length;
  if (count < 2) throw new AppError('out-of-range', `fair CRPS needs two members or more; found ${count}`);
  const sorted = Float64Array.from(values).sort();
  let distance = 0;
  let spread = 0;
  sorted.forEach((value, rank) => {
    distance += Math.abs(value - observed);
    spread += value * (2 * rank + 1 - count);
  });
  return distance / count - spread / (count * (count - 1));
}

/** Mean of forecast minus observed: above zero is late, or high. */
export function bias(forecast: readonly number[], observed: readonly number[]): number {
  needsOne(forecast.length, 'bias');
  return forecast.reduce((sum, value, index) => sum + value - observed[index]!, 0) / forecast.length;
}

/** Mean absolute error. */
export function meanAbsoluteError(forecast: readonly number[], observed: readonly number[]): number {
  needsOne(forecast.length, 'mean absolute error');
  return (
    forecast.reduce((sum, value, index) => sum + Math.abs(value - observed[index]!), 0) / forecast.length
  );
}
