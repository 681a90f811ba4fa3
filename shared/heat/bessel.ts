/**
 * Bessel functions of the first kind, orders 0 and 1, by Miller's downward recurrence
 * (Abramowitz & Stegun 9.1.27 and 9.12, normalised with 9.1.46). Full double precision for
 * |x| <= 1000; the work grows with |x|.
 */
export function besselJ01(x: number): { j0: number; j1: number } {
  const size = Math.abs(x);
  if (size < 1e-8) return { j0: 1, j1: x / 2 };
  // Far enough above the order where J falls off that the starting value no longer shows.
  const start = 2 * Math.ceil((size + 20 + 8 * Math.cbrt(size)) / 2);
  let above = 0;
  let here = 1e-300;
  let sum = 0;
  for (let order = start; order > 0; order--) {
    if (order % 2 === 0) sum += 2 * here;
    const below = (2 * order * here) / size - above;
    above = here;
    here = below;
    if (Math.abs(here) > 1e250) {
      here *= 1e-250;
      above *= 1e-250;
      sum *= 1e-250;
    }
  }
  sum += here;
  return { j0: here / sum, j1: (Math.sign(x) * above) / sum };
}
