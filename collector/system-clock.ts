import type { Clock } from '../shared/time.ts';

/** Longest wait that Node's timers hold; longer ones are waited for in stages. */
const longestTimerMs = 2 ** 31 - 1;

/** The machine's own clock: the only reader of the wall clock in the whole program. */
export const systemClock: Clock = {
  now: () => Date.now(),
  after(delayMs, action) {
    let timer: NodeJS.Timeout;
    const wait = (leftMs: number) => {
      timer =
        leftMs > longestTimerMs
          ? setTimeout(() => wait(leftMs - longestTimerMs), longestTimerMs)
          : setTimeout(action, leftMs);
    };
    wait(delayMs);
    return () => clearTimeout(timer);
  },
  every(periodMs, action) {
    const timer = setInterval(action, periodMs);
    return () => clearInterval(timer);
  },
};
