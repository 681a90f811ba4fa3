import type { InstantInterval } from '../../../shared/forecasts.ts';
import type { EpochMs } from '../../../shared/time.ts';
import { dayOf, daysAway } from './time.ts';

/** A date with its honest spread, in three words; `likely` is to be set bold. */
export interface ThreeDays {
  earliest: string;
  likely: string;
  latest: string;
}

/**
 * `Thu 26 – Fri 27 – Sun 29`; when all three are in one month beyond two weeks, the month is said once:
 * `8 – 11 – 15 Dec`.
 */
export function threeDays(interval: InstantInterval, now: EpochMs, zone: string): ThreeDays {
  const [earliest, likely, latest] = [interval.earliest, interval.likely, interval.latest].map((t) =>
    dayOf(t, now, zone),
  ) as [string, string, string];
  const months = [earliest, likely, latest].map((day) => /^\d+ (\p{L}+)$/u.exec(day)?.[1]);
  if (months[0] !== undefined && months.every((month) => month === months[0]))
    return { earliest: earliest.split(' ')[0]!, likely: likely.split(' ')[0]!, latest };
  return { earliest, likely, latest };
}

/** True when the whole interval falls on one day of the site. */
export const onOneDay = (interval: InstantInterval, now: EpochMs, zone: string): boolean =>
  daysAway(interval.earliest, now, zone) === daysAway(interval.latest, now, zone);
