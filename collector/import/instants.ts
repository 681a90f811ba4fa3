import { Temporal } from 'temporal-polyfill';
import { AppError } from '../../shared/errors.ts';
import type { EpochMs } from '../../shared/time.ts';
import { sensorTimeOf } from '../intake/decoders/sensor-time.ts';

/** How times are written: ISO 8601, or a count of seconds or milliseconds since 1970; auto tells by the look. */
export const timeFormats = ['auto', 'iso', 's', 'ms'] as const;
export type TimeFormat = (typeof timeFormats)[number];

/** ISO 8601 without a zone: the site's wall clock. Groups: date, hour, the rest of the time. */
const local = /^(\d{4}-\d\d-\d\d)(?:[Tt ](\d\d)(:\d\d(?::\d\d(?:[.,]\d{1,9})?)?))?$/;
const wanted: Record<TimeFormat, string> = {
  auto: 'ISO 8601 (2026-10-01T08:00, with or without a zone) or seconds or milliseconds since 1970',
  iso: 'ISO 8601 (2026-10-01T08:00, with or without a zone)',
  s: 'seconds since 1970',
  ms: 'milliseconds since 1970',
};

/** 2015-01-01: an earlier time is a clock that was never set. */
const firstMs: EpochMs = 1_420_070_400_000;

/**
 * Reads instants out of a file. A time without a zone is the wall clock of `timeZone`; where the clock is put
 * back the first of the two is taken, where it is put forward the time an hour later.
 *
 * @param now an instant after it cannot have been
 * @returns throws AppError 'out-of-range' that says what was found and wanted.
 */
export function createInstantReader(format: TimeFormat, timeZone: string, now: EpochMs) {
  // Zones change their offset on the hour, so what one local hour is off by is looked up once.
  const hours = new Map<string, EpochMs>();
  const startOf = (date: string, hour: string): EpochMs => {
    const key = `${date}T${hour}`;
    const found = hours.get(key);
    if (found !== undefined) return found;
    const t = Temporal.PlainDateTime.from(`${key}:00`).toZonedDateTime(timeZone, {
      disambiguation: 'compatible',
    }).epochMilliseconds;
    hours.set(key, t);
    return t;
  };

  const ofLocal = (text: string): EpochMs | undefined => {
    const parts = local.exec(text);
    if (parts === null) return undefined;
    const [, date, hour = '00', rest = ':00'] = parts as unknown as [string, string, string?, string?];
    const within = sensorTimeOf(`1970-01-01T00${rest}Z`);
    if (within === undefined) return undefined;
    try {
      return startOf(date, hour) + within;
    } catch {
      return undefined;
    }
  };

  const read = (text: string): EpochMs | undefined => {
    if (format === 's' || format === 'ms') {
      const count = text === '' ? Number.NaN : Number(text);
      return Number.isFinite(count) ? Math.round(format === 's' ? count * 1000 : count) : undefined;
    }
    return ofLocal(text) ?? (format === 'iso' && !text.includes('-') ? undefined : sensorTimeOf(text));
  };

  return (written: string): EpochMs => {
    const text = written.trim();
    const t = read(text);
    if (t === undefined)
      throw new AppError('out-of-range', `'${text.slice(0, 40)}' is no time; wanted is ${wanted[format]}`);
    if (t > now) throw new AppError('out-of-range', `the time ${text} lies ahead`);
    if (t < firstMs)
      throw new AppError(
        'out-of-range',
        `the time ${text} lies before 2015, as of a clock that was never set`,
      );
    return t;
  };
}
