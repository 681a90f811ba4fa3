/**
 * Root of a continuous function between two points where its sign differs, to the last bits.
 * Chandrupatla 1997, Advances in Engineering Software 28:145-149: a parabola through three points where that
 * is safe, halving where it is not, so it cannot leave the bracket and needs about ten evaluations.
 */
export function findRoot(f: (x: number) => number, low: number, high: number): number {
  let a = high;
  let b = low;
  let fa = f(a);
  let fb = f(b);
  if (fa === 0) return a;
  let c = a;
  let fc = fa;
  let share = 0.5;
  for (let round = 0; round < 200; round++) {
    const x = a + share * (b - a);
    const fx = f(x);
    if (Math.sign(fx) === Math.sign(fa)) {
      c = a;
      fc = fa;
    } else {
      c = b;
      fc = fb;
      b = a;
      fb = fa;
    }
    a = x;
    fa = fx;
    const best = Math.abs(fa) < Math.abs(fb) ? a : b;
    const least = Number.EPSILON * Math.abs(best) + 1e-300;
    const limit = least / Math.abs(b - c);
    if (limit > 0.5 || fa === 0) return best;
    const xi = (a - b) / (c - b);
    const phi = (fa - fb) / (fc - fb);
    const safe = phi * phi < xi && (1 - phi) * (1 - phi) < 1 - xi;
    share = safe
      ? (fa / (fb - fa)) * (fc / (fb - fc)) + ((c - a) / (b - a)) * (fa / (fc - fa)) * (fb / (fc - fb))
      : 0.5;
    share = Math.min(1 - limit, Math.max(limit, share));
  }
  return a;
}
