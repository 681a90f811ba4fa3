import { invert } from './linear.ts';

export interface LeastSquares {
  parameters: number[];
  /** Sum of squared residuals there. */
  squares: number;
}

/** Residuals, already divided by their standard deviations, for a set of parameters. */
export type Residuals = (parameters: readonly number[]) => ArrayLike<number>;

/** Parameters smaller than this are stepped as if of this size; zero too must be stepped. */
const leastSize = 1e-4;

/** Rows of slopes, one per parameter, by central differences. */
export function slopesOf(
  residuals: Residuals,
  parameters: readonly number[],
  relativeStep = 1e-6,
): number[][] {
  return parameters.map((value, index) => {
    const step = relativeStep * Math.max(leastSize, Math.abs(value));
    const at = (by: number) =>
      residuals(parameters.map((other, place) => (place === index ? other + by : other)));
    const up = at(step);
    const down = at(-step);
    return Array.from({ length: up.length }, (_, row) => (up[row]! - down[row]!) / (2 * step));
  });
}

const dot = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let sum = 0;
  for (let index = 0; index < a.length; index++) sum += a[index]! * b[index]!;
  return sum;
};

/** J^T J, whose inverse is the covariance of the parameters in units of the residuals' variance. */
export const curvatureOf = (slopes: readonly number[][]): number[][] =>
  slopes.map((a) => slopes.map((b) => dot(a, b)));

/**
 * Levenberg-Marquardt with Marquardt's scaling (Marquardt 1963, SIAM J. Appl. Math. 11:431-441). Only steps that
 * lower the sum of squares are taken, so the answer is never worse than the start; residuals that are not
 * numbers count as infinitely bad. Ends at a local minimum: start from several places.
 */
export function leastSquares(residuals: Residuals, start: readonly number[], rounds = 200): LeastSquares {
  const squaresAt = (at: readonly number[]): number => {
    const found = residuals(at);
    const squares = dot(found, found);
    return Number.isFinite(squares) ? squares : Number.POSITIVE_INFINITY;
  };
  let parameters = [...start];
  let squares = squaresAt(parameters);
  let damping = 1e-3;
  let small = 0;
  for (let round = 0; round < rounds && squares > 0 && Number.isFinite(squares); round++) {
    const slopes = slopesOf(residuals, parameters);
    const curvature = curvatureOf(slopes);
    const now = residuals(parameters);
    const downhill = slopes.map((row) => -dot(row, now));
    const largest = Math.max(...curvature.map((row, index) => row[index]!));
    // A parameter that changes nothing here must not make the step singular. Scale says nothing: units differ.
    const damped = (value: number): number => (value > 0 ? value : largest) * (1 + damping);
    let taken = false;
    while (!taken && damping < 1e12) {
      const inverse = invert(
        curvature.map((row, i) => row.map((value, j) => (i === j ? damped(value) : value))),
      );
      const tried = parameters.map((value, i) => value + (inverse === null ? 0 : dot(inverse[i]!, downhill)));
      const triedSquares = squaresAt(tried);
      if (triedSquares < squares) {
        small = squares - triedSquares <= 1e-12 * squares ? small + 1 : 0;
        parameters = tried;
        squares = triedSquares;
        damping = Math.max(damping / 9, 1e-12);
        taken = true;
      } else damping *= 11;
    }
    if (!taken || small >= 2) break;
  }
  return { parameters, squares };
}
