import { type Cancel, type Clock, secondMs } from '../../shared/time.ts';
import type { ReadingsLog } from './readings-log.ts';

/** Quiet farms settle this seldom: fewer writes, and a chart folds the rest in as it reads. */
const atLeastEveryMs = 15 * secondMs;
/** Busy ones as soon as this many readings wait, in steps of `step` with pauses for intake between. */
const busy = 4_000;
const step = 10_000;
const pauseMs = 5;

/**
 * Settles the log for as long as it is kept, beginning with what a crash left.
 *
 * @param onProblem told when settling fails (disk full); it is tried again by itself.
 * @param everyMs how often to look; longer where a clock is turned fast to make history.
 */
export function keepSettled(
  log: ReadingsLog,
  clock: Clock,
  onProblem: (thrown: unknown) => void,
  everyMs = 2 * secondMs,
): Cancel {
  let dueAt = clock.now();
  let cancelStep: Cancel = () => {};

  const settle = () => {
    try {
      if (log.settle(step) >= step) cancelStep = clock.after(pauseMs, settle);
    } catch (thrown) {
      onProblem(thrown);
    }
  };
  const cancelLook = clock.every(everyMs, () => {
    if (log.unsettled() === 0 || (log.unsettled() < busy && clock.now() < dueAt)) return;
    dueAt = clock.now() + atLeastEveryMs;
    cancelStep();
    settle();
  });
  return () => {
    cancelLook();
    cancelStep();
  };
}
