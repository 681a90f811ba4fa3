import { AppError } from './errors.ts';
import type { Clock, EpochMs } from './time.ts';
import { createTimerQueue } from './timer-queue.ts';

export interface ManualClock extends Clock {
  /**
   * Turns the clock to `t`, firing every timer due up to and including `t` in order, each at its own
   * time. What a timer throws passes through; the clock then stands at that timer's time and may be
   * turned on. Throws AppError 'out-of-range' for a time that has passed, 'conflict' from within a timer.
   */
  advanceTo(t: EpochMs): void;
  advanceBy(ms: number): void;
  /** Timers that are set and not cancelled. */
  readonly pending: number;
}

/** A clock that only moves when it is turned: for tests, and for making history faster than it happens. */
export function createManualClock(startAt: EpochMs): ManualClock {
  const timers = createTimerQueue();
  let now = startAt;
  let turning = false;

  const advanceTo = (t: EpochMs) => {
    if (!(t >= now))
      throw new AppError('out-of-range', `A clock at ${now} cannot be turned to ${t}: time only goes on.`);
    if (turning) throw new AppError('conflict', 'A timer may not turn the clock that is firing it.');
    turning = true;
    try {
      for (let due = timers.nextDue(); due <= t; due = timers.nextDue()) {
        now = due;
        timers.fireFirst();
      }
      now = t;
    } finally {
      turning = false;
    }
  };

  return {
    now: () => now,
    after: (delayMs, action) => timers.add(now + Math.max(0, delayMs), action),
    every(periodMs, action) {
      if (!(periodMs > 0))
        throw new AppError('out-of-range', `A period must be above 0 ms, not ${periodMs}.`);
      return timers.add(now + periodMs, action, periodMs);
    },
    advanceTo,
    advanceBy: (ms) => advanceTo(now + ms),
    get pending() {
      return timers.size;
    },
  };
}
