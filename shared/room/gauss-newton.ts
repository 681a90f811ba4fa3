import { invertSymmetric } from '../stats/symmetric.ts';

/** Residuals over their standard deviations, always of one length. */
export type Misses = (parameters: Float64Array) => Float64Array;

export interface Descent {
  parameters: Float64Array;
  squares: number;
  /** J^T J where the last round began, row after row. */
  curvature: Float64Array;
}

const squaresOf = (values: Float64Array): number => {
  let sum = 0;
  for (const value of values) sum += value * value;
  return Number.isFinite(sum) ? sum : Number.POSITIVE_INFINITY;
};

/**
 * Levenberg-Marquardt with forward differences, for residuals that take long to compute and parameters that are
 * all about 1 in size: n + 1 calls a round. Ends when a round gains less than `enough` of the squares.
 */
export function descend(
  misses: Misses,
  start: ArrayLike<number>,
  { rounds = 20, enough = 1e-4, step = 1e-4 } = {},
): Descent {
  const n = start.length;
  let parameters = Float64Array.from(start);
  let now = misses(parameters);
  let squares = squaresOf(now);
  let curvature = new Float64Array(n * n);
  let damping = 1e-2;
  for (let round = 0; round < rounds; round++) {
    const slopes = Array.from(parameters, (_, k) => {
      const moved = parameters.slice();
      moved[k]! += step;
      const there = misses(moved);
      for (let i = 0; i < there.length; i++) there[i] = (there[i]! - now[i]!) / step;
      return there;
    });
    curvature = new Float64Array(n * n);
    const downhill = new Float64Array(n);
    for (let a = 0; a < n; a++) {
      for (let b = 0; b <= a; b++) {
        let sum = 0;
        const [p, q] = [slopes[a]!, slopes[b]!];
        for (let i = 0; i < p.length; i++) sum += p[i]! * q[i]!;
        curvature[a * n + b] = sum;
        curvature[b * n + a] = sum;
      }
      for (let i = 0; i < now.length; i++) downhill[a]! -= slopes[a]![i]! * now[i]!;
    }
    let gained = 0;
    for (let tries = 0; tries < 8 && gained === 0; tries++) {
      const damped = curvature.slice();
      for (let k = 0; k < n; k++) damped[k * n + k]! += damping * (1 + curvature[k * n + k]!);
      const inverse = invertSymmetric(damped, n);
      const tried = parameters.map((value, a) => {
        let sum = value;
        for (let b = 0; b < n; b++) sum += inverse[a * n + b]! * downhill[b]!;
        return sum;
      });
      const there = misses(tried);
      const triedSquares = squaresOf(there);
      if (triedSquares < squares) {
        gained = (squares - triedSquares) / squares;
        [parameters, now, squares] = [tried, there, triedSquares];
        damping = Math.max(damping / 5, 1e-6);
      } else damping *= 6;
    }
    if (gained < enough) break;
  }
  return { parameters, squares, curvature };
}
