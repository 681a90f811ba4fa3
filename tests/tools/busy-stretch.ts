import { existsSync, readFileSync } from 'node:fs';
import type { Cancel } from '../../shared/time.ts';

const schedule = `/proc/self/task/${process.pid}/schedstat`;
const counts = existsSync(schedule);

/**
 * Processor time of this thread [ms]: what else runs on the machine does not count. Where the system does not
 * tell it (Linux does), time on the clock.
 */
const spentMs = (): number =>
  counts ? Number(readFileSync(schedule, 'utf8').split(' ')[0]) / 1e6 : performance.now();

/** Watches how long the event loop is kept from its timers; `longest` is the longest stretch so far [ms]. */
export function watchBusyStretches(): { longest(): number; stop: Cancel } {
  let longest = 0;
  let last = spentMs();
  const timer = setInterval(() => {
    const now = spentMs();
    longest = Math.max(longest, now - last);
    last = now;
  }, 5);
  return { longest: () => longest, stop: () => clearInterval(timer) };
}
