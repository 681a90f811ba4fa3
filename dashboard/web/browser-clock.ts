import type { Clock } from '../../shared/time.ts';

/** The browser's own clock. Only for waiting and for ages; what a screen shows as time is the site's. */
export const browserClock: Clock = {
  now: () => Date.now(),
  after: (delayMs, action) => {
    const timer = setTimeout(action, delayMs);
    return () => clearTimeout(timer);
  },
  every: (periodMs, action) => {
    const timer = setInterval(action, periodMs);
    return () => clearInterval(timer);
  },
};
