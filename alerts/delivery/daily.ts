import { Temporal } from 'temporal-polyfill';
import type { DigestSettings } from '../../shared/farm/people-schema.ts';
import type { EpochMs } from '../../shared/time.ts';

const weekdays = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;

/** A day's message: which local day it is of, and when it is due. */
export interface DailyDue {
  /** ISO date in the site's zone. */
  date: string;
  at: EpochMs;
}

/**
 * The latest due time at or before `now` of something that is told daily at a local time. A time that the
 * clock skips in spring is due when the skipped hour is over; one that comes twice in autumn, the first time.
 */
export function lastDue(
  { at, days }: Pick<DigestSettings, 'at' | 'days'>,
  zone: string,
  now: EpochMs,
): DailyDue | null {
  const today = Temporal.Instant.fromEpochMilliseconds(now).toZonedDateTimeISO(zone).toPlainDate();
  for (let back = 0; back < 8; back++) {
    const date = today.subtract({ days: back });
    if (days !== undefined && !days.includes(weekdays[date.dayOfWeek - 1]!)) continue;
    const due = date
      .toPlainDateTime(Temporal.PlainTime.from(at))
      .toZonedDateTime(zone, { disambiguation: 'compatible' }).epochMilliseconds;
    if (due <= now) return { date: date.toString(), at: due };
  }
  return null;
}
