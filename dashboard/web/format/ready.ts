import type { InstantInterval } from '../../../shared/forecasts.ts';
import type { EpochMs } from '../../../shared/time.ts';
import { dayOf } from './time.ts';

/** A date with its honest spread, in three words; `likely` is to be set bold. */
export interface ThreeDays {
  earliest: string | null;
  likely: string;
  latest: string | null;
}

/**
 * `Thu 26 – Fri 27 – Sun 29`. A day that says no more than its neighbour is left out (null), and a month
 * that is said later is not said twice: `8 – 11 – 15 Dec`.
 */
export function threeDays(interval: InstantInterval, now: EpochMs, zone: string): ThreeDays {
  const day = (t: EpochMs) => dayOf(t, now, zone);
  const [earliest, likely, latest] = [day(interval.earliest), day(interval.likely), day(interval.latest)];
  const latestMonth = monthOf(latest);
  const short = (said: string) =>
    monthOf(said) === latestMonth && latest !== said ? withoutMonth(said) : said;
  return {
    earliest: earliest === likely ? null : short(earliest),
    likely: short(likely),
    latest: latest === likely ? null : latest,
  };
}

const monthOf = (said: string): string | undefined => /^\d+ (\p{L}+)$/u.exec(said)?.[1];
const withoutMonth = (said: string): string => (monthOf(said) === undefined ? said : said.split(' ')[0]!);
