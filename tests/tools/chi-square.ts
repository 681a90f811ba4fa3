import { normalCdf, normalDensity } from '../../shared/stats/normal.ts';

/** Pearson's statistic of values in [0, 1) over even bins. */
export function chiSquare(values: readonly number[], bins: number): number {
  const counts = new Array<number>(bins).fill(0);
  for (const value of values) counts[Math.floor(value * bins)]!++;
  const expected = values.length / bins;
  return counts.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0);
}

/** Probability of a statistic this large or larger, for an odd number of degrees of freedom (Abramowitz & Stegun 26.4.4). */
export function chiSquareTail(statistic: number, freedom: number): number {
  const root = Math.sqrt(statistic);
  let term = root;
  let sum = 0;
  for (let r = 1; r <= (freedom - 1) / 2; r++) {
    sum += term;
    term *= statistic / (2 * r + 1);
  }
  return 2 * normalCdf(-root) + 2 * normalDensity(root) * sum;
}
