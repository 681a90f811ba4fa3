import { dayMs, type EpochMs, hourMs, minuteMs } from '../../../shared/time.ts';
import { localOf } from '../format/zoned.ts';

const steps = [
  minuteMs,
  5 * minuteMs,
  15 * minuteMs,
  hourMs,
  3 * hourMs,
  6 * hourMs,
  12 * hourMs,
  dayMs,
  2 * dayMs,
  7 * dayMs,
] as const;

/** A place on the time axis with the word below it. */
export interface TimeMark {
  t: EpochMs;
  text: string;
}

/** Marks at round times of the site's own clock and calendar, at most `most` of them. */
export function timeMarks(from: EpochMs, to: EpochMs, zone: string, most: number): TimeMark[] {
  const span = to - from;
  const step = steps.find((width) => span / width <= most);
  const marks = step === undefined ? monthMarks(from, to, zone, most) : stepMarks(from, to, zone, step);
  return marks.filter(({ t }) => t >= from && t <= to);
}

const partOf = (local: string) => {
  const [date, clock] = local.split('T') as [string, string];
  const [year, month, day] = date.split('-').map(Number) as [number, number, number];
  return { year, month, day, clock };
};

/** Steps are counted on the site's wall clock, so that midnight stays midnight across a change of the clock. */
function stepMarks(from: EpochMs, to: EpochMs, zone: string, step: number): TimeMark[] {
  const marks: TimeMark[] = [];
  const asUtc = (t: EpochMs) => Date.parse(`${localOf(t, zone)}Z`);
  const offset = (t: EpochMs) => asUtc(t) - Math.floor(t / minuteMs) * minuteMs;
  // 1970-01-05 was a Monday: weeks begin there.
  const origin = step >= 7 * dayMs ? 4 * dayMs : 0;
  for (let local = Math.floor((asUtc(from) - origin) / step) * step + origin; ; local += step) {
    const t = local - offset(local - offset(local));
    if (t > to) return marks;
    marks.push({ t, text: stepText(t, zone, step) });
  }
}

const weekdays = new Map<string, Intl.DateTimeFormat>();

function say(t: EpochMs, zone: string, options: Intl.DateTimeFormatOptions): string {
  const key = `${zone}${JSON.stringify(options)}`;
  let format = weekdays.get(key);
  if (format === undefined) {
    format = new Intl.DateTimeFormat('en-GB', { ...options, timeZone: zone });
    weekdays.set(key, format);
  }
  return format.format(t).replace(',', '');
}

function stepText(t: EpochMs, zone: string, step: number): string {
  const { clock } = partOf(localOf(t, zone));
  if (step < dayMs && clock !== '00:00') return clock;
  return step < 7 * dayMs
    ? say(t, zone, { weekday: 'short', day: 'numeric' })
    : say(t, zone, { day: 'numeric', month: 'short' });
}

function monthMarks(from: EpochMs, to: EpochMs, zone: string, most: number): TimeMark[] {
  const months = (to - from) / (30.44 * dayMs);
  const step = [1, 3, 6, 12, 24, 60].find((width) => months / width <= most) ?? 120;
  const start = partOf(localOf(from, zone));
  const marks: TimeMark[] = [];
  const first = Math.floor((start.year * 12 + start.month - 1) / step) * step;
  for (let month = first; ; month += step) {
    const noon = Date.UTC(Math.floor(month / 12), month % 12, 1, 12);
    const offset = Date.parse(`${localOf(noon, zone)}Z`) - noon;
    const t = noon - offset - 12 * hourMs;
    if (t > to) return marks;
    const january = month % 12 === 0;
    const text = january || step >= 12 ? say(t, zone, { year: 'numeric' }) : say(t, zone, { month: 'short' });
    marks.push({ t, text });
  }
}
