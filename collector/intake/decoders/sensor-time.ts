import type { EpochMs } from '../../../shared/time.ts';
import { decimalOf } from './text.ts';

/** Above this a count is milliseconds, below seconds: 1973 in the one, the year 5138 in the other. */
const firstMs = 1e11;
/** The largest instant that ECMAScript's dates can hold. */
const lastMs = 8.64e15;

/**
 * ISO 8601 calendar date and time, extended or basic form, with the zone that makes it an instant.
 * Groups: year, month, day, hour, minute, second, fraction, zone.
 */
const iso =
  /^(\d{4})-?(\d\d)-?(\d\d)[Tt ](\d\d):?(\d\d)(?::?(\d\d)(?:[.,](\d{1,9}))?)?\s?(Z|z|[+-]\d\d(?::?\d\d)?)$/;

/**
 * The instant that a sensor wrote: epoch seconds or milliseconds, as number or text, or ISO 8601.
 * Undefined for anything else, among it a local time without a zone, which is no instant.
 */
export function sensorTimeOf(written: unknown): EpochMs | undefined {
  if (typeof written === 'number') return ofCount(written);
  if (typeof written !== 'string' || written.length > 40) return undefined;
  const count = decimalOf(written);
  return count === undefined ? ofIso(written.trim()) : ofCount(count);
}

function ofCount(count: number): EpochMs | undefined {
  if (!(count >= 0)) return undefined;
  const ms = Math.round(count >= firstMs ? count : count * 1000);
  return ms <= lastMs ? ms : undefined;
}

function ofIso(text: string): EpochMs | undefined {
  const parts = iso.exec(text);
  if (!parts) return undefined;
  const [, year, month, day, hour, minute, second = '00', fraction = '', zone = ''] = parts;
  const offset = zoneMinutes(zone);
  if (offset === undefined || Number(month) < 1 || Number(month) > 12) return undefined;
  if (Number(hour) > 23 || Number(minute) > 59 || Number(second) > 60) return undefined;
  const midnight = Date.UTC(Number(year), Number(month) - 1, Number(day));
  // A day that the month does not have would roll over into the next one.
  if (new Date(midnight).getUTCDate() !== Number(day) || Number(year) < 1970) return undefined;
  const minutes = Number(hour) * 60 + Number(minute) - offset;
  return midnight + minutes * 60_000 + Number(second) * 1000 + Number(fraction.padEnd(3, '0').slice(0, 3));
}

function zoneMinutes(zone: string): number | undefined {
  if (zone === 'Z' || zone === 'z') return 0;
  const hours = Number(zone.slice(1, 3));
  const minutes = Number(zone.slice(3).replace(':', '') || '0');
  if (hours > 23 || minutes > 59) return undefined;
  return (zone[0] === '-' ? -1 : 1) * (hours * 60 + minutes);
}
