/** What comes of work that pauses, without a pause. */
export function atOnce<T>(work: Generator<undefined, T>): T {
  for (;;) {
    const { done, value } = work.next();
    if (done) return value;
  }
}
