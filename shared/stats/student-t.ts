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
