/** No 0/O, 1/I/L, 2/Z, 5/S, 8/B, U/V: read aloud or off a wet label, each is itself. */
const letters = 'ACDEFGHJKMNPQRTUWXY34679';
const lettersInHalf = 3;

/**
 * A short code for a new batch, such as `K7M-4RT`; about 190 million of them. Whoever records it learns
 * of a clash by AppError `conflict` and takes another.
 *
 * @param random gives numbers in [0, 1).
 */
export function newBatchId(random: () => number): string {
  const half = () =>
    Array.from({ length: lettersInHalf }, () => letters[Math.floor(random() * letters.length)]).join('');
  return `${half()}-${half()}`;
}
