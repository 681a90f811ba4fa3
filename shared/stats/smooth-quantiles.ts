import { inRange } from './range.ts';

const found = new Map<string, Float64Array>();
/** Points of Simpson's rule in each place of the order; even. */
const parts = 16;

/** Share of a beta distribution with these shapes that lies in each of `count` equal parts of 0 to 1. */
function betaShares(count: number, a: number, b: number): Float64Array {
  const top = (a - 1) / (a + b - 2);
  const log = (x: number): number => (a - 1) * Math.log(x) + (b - 1) * Math.log(1 - x);
  const density = (x: number): number => (x <= 0 || x >= 1 ? 0 : Math.exp(log(x) - log(top)));
  const shares = new Float64Array(count);
  let total = 0;
  for (let place = 0; place < count; place++) {
    let sum = 0;
    for (let part = 0; part <= parts; part++)
      sum +=
        (part === 0 || part === parts ? 1 : part % 2 === 1 ? 4 : 2) * density((place + part / parts) / count);
    shares[place] = sum;
    total += sum;
  }
  return shares.map((share) => share / total);
}

/**
 * Quantiles of a sample as means over its neighbouring order statistics, which run smoothly where single ones
 * jump: Harrell & Davis 1982 (Biometrika 69:635-640).
 * @param values finite, at least 4 @param shares each so far from 0 and 1 that the sample reaches there
 * @throws AppError 'out-of-range' for too few values or too extreme a share
 */
export function smoothQuantiles(values: Float64Array, shares: readonly number[]): number[] {
  const count = inRange('number of values', values.length, 4, 100_000);
  const sorted = values.slice().sort();
  return shares.map((share) => {
    inRange('share', share, 1.01 / (count + 1), 1 - 1.01 / (count + 1));
    const key = `${count} ${share}`;
    const known = found.get(key) ?? betaShares(count, share * (count + 1), (1 - share) * (count + 1));
    found.set(key, known);
    const first = sorted[0]!;
    return first + sorted.reduce((sum, value, place) => sum + known[place]! * (value - first), 0);
  });
}
