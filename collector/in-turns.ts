/** What comes of work that pauses, while others have their turn in each pause. */
export async function inTurns<T>(work: Generator<undefined, T>, pause: () => Promise<void>): Promise<T> {
  for (;;) {
    const { done, value } = work.next();
    if (done) return value;
    await pause();
  }
}
