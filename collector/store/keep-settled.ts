import { type Cancel, type Clock, secondMs } from '../../shared/time.ts';
import type { ReadingsLog } from './readings-log.ts';

const tickMs = 250;
/** Quiet farms settle this seldom: fewer writes, and a chart folds the rest in as it reads. */
const atLeastEveryMs = 15 * secondMs;
/** Busy ones as soon as this many readings wait. */
const busy = 4_000;

/**
 * Settles the log in small steps for as long as it is kept, beginning with what a crash left.
 *
 * @param onProblem told when settling fails (disk full); it is tried again by itself.
 */
export function keepSettled(log: ReadingsLog, clock: Clock, onProblem: (thrown: unknown) => void): Cancel {
  let dueAt = clock.now();
  return clock.every(tickMs, () => {
    if (log.unsettled() < busy && clock.now() < dueAt) return;
    dueAt = clock.now() + atLeastEveryMs;
    try {
      log.settle();
    } catch (thrown) {
      onProblem(thrown);
    }
  });
}
