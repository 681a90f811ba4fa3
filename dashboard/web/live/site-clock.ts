import type { LiveState } from '../../../shared/live.ts';
import type { EpochMs } from '../../../shared/time.ts';

/** What the site's clock showed when the browser's showed `heardAt`. */
export interface ClockMark {
  siteNow: EpochMs;
  heardAt: EpochMs;
}

/** How fast the site's time passes: 1 live, the run's speed in training, 0 while it stands still. */
export function paceOf(run: LiveState['run']): number {
  if (run === null) return 1;
  return run.paused || run.ended ? 0 : run.speed;
}

/** The site's time at the browser's instant `t`; a browser whose clock is wrong shows the right time all the same. */
export function siteTimeAt(mark: ClockMark, pace: number, t: EpochMs): EpochMs {
  return mark.siteNow + Math.max(0, t - mark.heardAt) * pace;
}
