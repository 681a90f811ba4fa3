/** Beyond so many standard deviations a miss counts by its distance, not its square: a door left open, a failure. */
const robustAt = 2.5;

/** Squares up to `robustAt`, distances beyond, as a residual whose square is that. */
export const robust = (z: number): number => {
  const size = Math.abs(z);
  return size <= robustAt ? z : Math.sign(z) * Math.sqrt(robustAt * (2 * size - robustAt));
};
