import { normalQuantile } from './normal.ts';

const lanczos = [
  0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
  12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
] as const;

/** ln Gamma(x) for x > 0; Lanczos, g = 7, nine coefficients, about 1e-14. */
export function logGamma(x: number): number {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x);
  const y = x - 1;
  let sum: number = lanczos[0];
  for (let k = 1; k < lanczos.length; k++) sum += lanczos[k]! / (y + k);
  const t = y + 7.5;
  return 0.5 * Math.log(2 * Math.PI) + (y + 0.5) * Math.log(t) - t + Math.log(sum);
}

/**
 * ln density of Student's t with `degrees` of freedom, shifted to `location` and stretched by `scale`.
 * Its heavy tails let one odd observation pass without breaking everything.
 */
export function studentTLogDensity(x: number, degrees: number, location = 0, scale = 1): number {
  const z = (x - location) / scale;
  return (
    logGamma((degrees + 1) / 2) -
    logGamma(degrees / 2) -
    0.5 * Math.log(degrees * Math.PI) -
    Math.log(scale) -
    ((degrees + 1) / 2) * Math.log1p((z * z) / degrees)
  );
}

/**
 * Quantile of Student's t: the share of its distribution below it is `share`. Hill 1970, Algorithm 396 (CACM
 * 13:619-620), to about 1e-6 from 3 degrees on.
 *
 * @param degrees of freedom, 1 or more, need not be whole
 */
export function studentTQuantile(share: number, degrees: number): number {
  if (!(share > 0 && share < 1 && degrees >= 1)) return Number.NaN;
  const both = 2 * Math.min(share, 1 - share);
  const sign = share < 0.5 ? -1 : 1;
  if (both === 1) return 0;
  const n = degrees;
  const a = 1 / (n - 0.5);
  const b = 48 / (a * a);
  let c = ((20700 * a) / b - 98) * a * a - 16 * a + 96.36;
  const d = ((94.5 / (b + c) - 3) / b + 1) * Math.sqrt((a * Math.PI) / 2) * n;
  let y = (d * both) ** (2 / n);
  if (y > 0.05 + a) {
    const x = normalQuantile(both / 2);
    y = x * x;
    if (n < 5) c += 0.3 * (n - 4.5) * (x + 0.6);
    c = (((0.05 * d * x - 5) * x - 7) * x - 2) * x + b + c;
    y = (((((0.4 * y + 6.3) * y + 36) * y + 94.5) / c - y - 3) / b + 1) * x;
    y = Math.expm1(a * y * y);
  } else
    y =
      ((1 / (((n + 6) / (n * y) - 0.089 * d - 0.822) * (n + 2) * 3) + 0.5 / (n + 4)) * y - 1) *
        ((n + 1) / (n + 2)) +
      1 / y;
  return sign * Math.sqrt(n * y);
}
