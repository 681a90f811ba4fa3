import type { Weekday, WeeklySpan } from '../../shared/farm/limits-schema.ts';
import { type EpochMs, minuteMs } from '../../shared/time.ts';

const days: readonly Weekday[] = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];
const dayMinutes = 24 * 60;

const minutesOf = (time: string): number => Number(time.slice(0, 2)) * 60 + Number(time.slice(3));

/** Weekday (0 is Monday) and minute of the day at an instant, in a zone. */
export function createLocalTime(zone: string): (t: EpochMs) => { day: number; minute: number } {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    weekday: 'short',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  });
  // Formatting costs microseconds, and an instant is asked about by many alarms in turn.
  let known = { key: Number.NaN, local: { day: 0, minute: 0 } };
  return (t) => {
    const key = Math.floor(t / minuteMs);
    if (key !== known.key) {
      const parts = Object.fromEntries(format.formatToParts(t).map(({ type, value }) => [type, value]));
      const day = days.indexOf(parts.weekday!.toLowerCase() as Weekday);
      known = { key, local: { day, minute: Number(parts.hour) * 60 + Number(parts.minute) } };
    }
    return known.local;
  };
}

/** Whether a local time lies in a weekly span: `from` inclusive, `to` exclusive, past midnight where need be. */
export function inSpan(span: WeeklySpan, { day, minute }: { day: number; minute: number }): boolean {
  const from = minutesOf(span.from);
  const to = minutesOf(span.to);
  const begins = (on: number) => span.days === undefined || span.days.includes(days[on]!);
  if (to > from) return begins(day) && minute >= from && minute < to;
  const yesterday = (day + 6) % 7;
  return (begins(day) && minute >= from && minute < dayMinutes) || (begins(yesterday) && minute < to);
}
