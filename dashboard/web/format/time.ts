import { dayMs, type EpochMs, hourMs, minuteMs, secondMs } from '../../../shared/time.ts';
import { withUnit } from './value.ts';

type Parts =
  | 'clock'
  | 'clockSeconds'
  | 'weekday'
  | 'weekdayDay'
  | 'dayMonth'
  | 'full'
  | 'dated'
  | 'monthYear'
  | 'isoDay';

const shapes: Record<Parts, Intl.DateTimeFormatOptions> = {
  clock: { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' },
  clockSeconds: { hour: '2-digit', minute: '2-digit', second: '2-digit', hourCycle: 'h23' },
  weekday: { weekday: 'short' },
  weekdayDay: { weekday: 'short', day: 'numeric' },
  dayMonth: { day: 'numeric', month: 'short' },
  full: {
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  },
  dated: {
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  },
  monthYear: { month: 'short', year: 'numeric' },
  isoDay: { year: 'numeric', month: '2-digit', day: '2-digit' },
};

const formats = new Map<string, Intl.DateTimeFormat>();

function formatOf(part: Parts, zone: string): Intl.DateTimeFormat {
  const key = `${part} ${zone}`;
  let format = formats.get(key);
  if (format === undefined) {
    format = new Intl.DateTimeFormat('en-GB', { ...shapes[part], timeZone: zone });
    formats.set(key, format);
  }
  return format;
}

const say = (part: Parts, t: EpochMs, zone: string): string =>
  formatOf(part, zone).format(t).replaceAll(',', '').replace(' at ', ' ');

/** `14:32` */
export const clockOf = (t: EpochMs, zone: string): string => say('clock', t, zone);
/** `14:32:07` */
export const clockSecondsOf = (t: EpochMs, zone: string): string => say('clockSeconds', t, zone);
/** `Tue 24 Nov 14:32` */
export const momentOf = (t: EpochMs, zone: string): string => say('full', t, zone);

/** `Tue 24 Nov 2026 14:32`: where years matter. */
export const datedMomentOf = (t: EpochMs, zone: string): string => say('dated', t, zone);

/** Calendar days from the site's `now` to `t`, in the site's zone: 0 today, 1 tomorrow. */
export function daysAway(t: EpochMs, now: EpochMs, zone: string): number {
  const day = (at: EpochMs) => {
    const [d, m, y] = formatOf('isoDay', zone).format(at).split('/').map(Number);
    return Date.UTC(y!, m! - 1, d!) / dayMs;
  };
  return day(t) - day(now);
}

/** A day as a person says it: `today`, `Thu 26`, `11 Dec`, `Mar 2028`. */
export function dayOf(t: EpochMs, now: EpochMs, zone: string): string {
  const away = daysAway(t, now, zone);
  if (away === 0) return 'today';
  if (away >= -6 && away <= 13) return say('weekdayDay', t, zone);
  return Math.abs(away) < 300 ? say('dayMonth', t, zone) : say('monthYear', t, zone);
}

/** A moment near now: `14:32` today, `Mon 23 14:32` within the week, else with the month. */
export function momentNear(t: EpochMs, now: EpochMs, zone: string): string {
  const away = daysAway(t, now, zone);
  return away === 0 ? clockOf(t, zone) : `${dayOf(t, now, zone)} ${clockOf(t, zone)}`;
}

/** `6 s`, `4 min`, `2 h 10 min`, `3 d`, of which no end of a line parts a number from its unit. Never negative. */
export function spanOf(ms: number): string {
  const span = Math.max(0, ms);
  if (span < minuteMs) return withUnit(String(Math.floor(span / secondMs)), 's');
  if (span < hourMs) return withUnit(String(Math.floor(span / minuteMs)), 'min');
  if (span < dayMs) {
    const hours = withUnit(String(Math.floor(span / hourMs)), 'h');
    const minutes = Math.floor((span % hourMs) / minuteMs);
    return minutes === 0 ? hours : `${hours} ${withUnit(String(minutes), 'min')}`;
  }
  return withUnit(String(Math.floor(span / dayMs)), 'd');
}
