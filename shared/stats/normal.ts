const rootTwoPi = Math.sqrt(2 * Math.PI);

/** Density of the standard normal. */
export const normalDensity = (x: number): number => Math.exp(-0.5 * x * x) / rootTwoPi;

/**
 * Upper tail of the standard normal, P(Z > x) for x >= 0, to about 1e-15 relative. Series near the middle
 * (Abramowitz & Stegun 26.2.11), continued fraction further out (26.2.14).
 */
function upperTail(x: number): number {
  if (x > 38.5) return 0;
  if (x < 3) {
    let term = x;
    let sum = x;
    for (let k = 1; Math.abs(term) > 1e-17 * sum; k++) {
      term *= (x * x) / (2 * k + 1);
      sum += term;
    }
    return 0.5 - normalDensity(x) * sum;
  }
  let fraction = 0;
  for (let k = 100; k >= 1; k--) fraction = k / (x + fraction);
  return normalDensity(x) / (x + fraction);
}

/** Distribution function of the standard normal. */
export const normalCdf = (x: number): number => (x > 0 ? 1 - upperTail(x) : upperTail(-x));

/**
 * Inverse of `normalCdf`: -Infinity at 0, Infinity at 1, NaN outside [0, 1].
 * Start: Abramowitz & Stegun 26.2.23 (4.5e-4), then Halley steps to full precision.
 */
export function normalQuantile(p: number): number {
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  if (p === 0 || p === 1) return p === 0 ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
  const tail = Math.min(p, 1 - p);
  const t = Math.sqrt(-2 * Math.log(tail));
  let x =
    t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  for (let round = 0; round < 3; round++) {
    const error = (normalCdf(-x) - tail) / normalDensity(x);
    x += error / (1 - (x * error) / 2);
  }
  return p < 0.5 ? -x : x;
}
