import type { Clock } from '../../shared/time.ts';

/** Longest stretch of work before everything else gets its turn, and the turn it gets [ms]. */
const sliceMs = 8;
const restMs = 4;

/**
 * Goes through `steps` a slice at a time, so that whatever shares the process keeps its pace. Rejects
 * with what a step throws; what `stop` makes it throw ends it between two slices.
 */
export function inSlices(steps: Iterator<void>, clock: Clock, stop: () => void = () => {}): Promise<void> {
  return new Promise((done, failed) => {
    const slice = () => {
      try {
        stop();
        const began = clock.now();
        do if (steps.next().done) return done();
        while (clock.now() - began < sliceMs);
        clock.after(restMs, slice);
      } catch (thrown) {
        failed(thrown);
      }
    };
    slice();
  });
}
