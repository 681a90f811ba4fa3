import type { WeeklySpan } from '../../shared/farm/limits-schema.ts';
import type { Person } from '../../shared/farm/people-schema.ts';
import { type EpochMs, minuteMs } from '../../shared/time.ts';
import { createLocalTime, inSpan } from '../conditions/timetable.ts';

const dayMinutes = 1440;
const minuteOf = (time: string): number =>
  (Number(time.slice(0, 2)) * 60 + Number(time.slice(3))) % dayMinutes;
/** Into -12 h .. +12 h: what a clock on the wall is ahead or behind. */
const signed = (minutes: number): number => ((minutes + 720 + 2 * dayMinutes) % dayMinutes) - 720;

/** On-call and quiet hours, on the site's clock through daylight saving both ways. */
export function createHours(zone: string) {
  const localTime = createLocalTime(zone);

  /** When the wall clock next shows the end of a span; elapsed time differs from it when clocks change. */
  const endOf = (span: WeeklySpan, t: EpochMs): EpochMs => {
    const start = Math.floor(t / minuteMs) * minuteMs;
    const to = minuteOf(span.to);
    const ahead = (to - localTime(start).minute + dayMinutes) % dayMinutes || dayMinutes;
    const guess = start + ahead * minuteMs;
    const late = signed(localTime(guess).minute - to);
    const mended = guess - late * minuteMs;
    // An end within the hour that is skipped in spring is over when that hour is.
    return localTime(mended).minute === to || late <= 0
      ? mended
      : guess - (localTime(guess).minute % 60) * minuteMs;
  };

  return {
    isOnCall: ({ onCall }: Person, t: EpochMs): boolean =>
      onCall === undefined || onCall.some((span) => inSpan(span, localTime(t))),

    /** End of the quiet hours that a person has at `t`, spans that meet taken together; null outside them. */
    quietUntil({ quiet = [] }: Person, t: EpochMs): EpochMs | null {
      let end: EpochMs | null = null;
      for (let at = t, hop = 0; hop < 21; hop++) {
        const span = quiet.find((one) => inSpan(one, localTime(at)));
        if (span === undefined) break;
        end = endOf(span, at);
        if (end <= at) break;
        at = end;
      }
      return end;
    },
  };
}
