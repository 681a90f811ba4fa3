/**
 * Root of a continuous function between two points where its sign differs, to the last bit or so.
 * Plain halving: the callers' brackets come from theory, so nothing can run away.
 */
export function bisect(f: (x: number) => number, low: number, high: number): number {
  let a = low;
  let b = high;
  const signAtA = Math.sign(f(a));
  for (let halving = 0; halving < 200; halving++) {
    const middle = a + (b - a) / 2;
    if (middle === a || middle === b) break;
    if (Math.sign(f(middle)) === signAtA) a = middle;
    else b = middle;
  }
  return a + (b - a) / 2;
}
