/** erf by its power series, good for the small arguments of first minutes (Abramowitz and Stegun 7.1.5). */
function erf(x: number): number {
  let term = x;
  let sum = x;
  for (let n = 1; n < 40; n += 1) {
    term *= -(x * x) / n;
    sum += term / (2 * n + 1);
  }
  return (2 / Math.sqrt(Math.PI)) * sum;
}

/**
 * Part of its heat over the air's that a brick has given by `s` seconds, before its middle feels anything: each pair
 * of faces as those of a half-space behind a film (Carslaw and Jaeger, Conduction of Heat in Solids, 1959, 2.7; from
 * memory), the three together as the product of what each leaves.
 */
export function givenPart(
  s: number,
  halvesM: readonly number[],
  body: { alphaM2PerS: number; conductivityWPerMK: number; hWPerM2K: number },
): number {
  const { alphaM2PerS, conductivityWPerMK, hWPerM2K } = body;
  const beta = (hWPerM2K * Math.sqrt(alphaM2PerS)) / conductivityWPerMK;
  const x = beta * Math.sqrt(s);
  // J/(m2 K) through a face.
  const through =
    (hWPerM2K / beta ** 2) * (Math.exp(x * x) * (1 - erf(x)) - 1 + (2 * x) / Math.sqrt(Math.PI));
  const heatJPerM3K = conductivityWPerMK / alphaM2PerS;
  return 1 - halvesM.reduce((left, half) => left * (1 - through / (heatJPerM3K * half)), 1);
}
