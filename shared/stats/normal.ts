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

/** Value of a polynomial of seventh degree, highest power first. */
const polynomial = (x: number, c: Float64Array): number =>
  ((((((c[0]! * x + c[1]!) * x + c[2]!) * x + c[3]!) * x + c[4]!) * x + c[5]!) * x + c[6]!) * x + c[7]!;

// Wichura 1988, Algorithm AS 241 (PPND16), J. R. Stat. Soc. C 37:477-484, highest powers first.
const middleTop = Float64Array.of(
  2509.0809287301227,
  33430.57558358813,
  67265.7709270087,
  45921.95393154987,
  13731.69376550946,
  1971.5909503065513,
  133.14166789178438,
  3.3871328727963665,
);
const middleBottom = Float64Array.of(
  5226.495278852854,
  28729.085735721943,
  39307.89580009271,
  21213.794301586597,
  5394.196021424751,
  687.1870074920579,
  42.31333070160091,
  1,
);
const tailTop = Float64Array.of(
  0.0007745450142783414,
  0.022723844989269184,
  0.2417807251774506,
  1.2704582524523684,
  3.6478483247632045,
  5.769497221460691,
  4.630337846156546,
  1.4234371107496835,
);
const tailBottom = Float64Array.of(
  1.0507500716444169e-9,
  0.0005475938084995345,
  0.015198666563616457,
  0.14810397642748008,
  0.6897673349851,
  1.6763848301838038,
  2.053191626637759,
  1,
);
const farTop = Float64Array.of(
  2.0103343992922881e-7,
  2.7115555687434876e-5,
  0.0012426609473880784,
  0.026532189526576124,
  0.29656057182850487,
  1.7848265399172913,
  5.463784911164114,
  6.657904643501103,
);
const farBottom = Float64Array.of(
  2.0442631033899397e-15,
  1.421511758316446e-7,
  1.8463183175100548e-5,
  0.0007868691311456133,
  0.014875361290850615,
  0.1369298809227358,
  0.599832206555888,
  1,
);

/** Inverse of `normalCdf`, to about 1e-16: -Infinity at 0, Infinity at 1, NaN outside [0, 1]. */
export function normalQuantile(p: number): number {
  if (!(p >= 0 && p <= 1)) return Number.NaN;
  if (p === 0 || p === 1) return p === 0 ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
  const q = p - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return (q * polynomial(r, middleTop)) / polynomial(r, middleBottom);
  }
  const r = Math.sqrt(-Math.log(q < 0 ? p : 1 - p));
  const x =
    r <= 5
      ? polynomial(r - 1.6, tailTop) / polynomial(r - 1.6, tailBottom)
      : polynomial(r - 5, farTop) / polynomial(r - 5, farBottom);
  return q < 0 ? -x : x;
}
