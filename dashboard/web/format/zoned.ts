import { type EpochMs, minuteMs } from '../../../shared/time.ts';

const formats = new Map<string, Intl.DateTimeFormat>();

function partsIn(zone: string): Intl.DateTimeFormat {
  let format = formats.get(zone);
  if (format === undefined) {
    format = new Intl.DateTimeFormat('en-CA', {
      timeZone: zone,
      hourCycle: 'h23',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
    });
    formats.set(zone, format);
  }
  return format;
}

/** The wall clock of a zone as a form field takes it: `2026-11-24T14:32`. */
export function localOf(t: EpochMs, zone: string): string {
  const part = Object.fromEntries(
    partsIn(zone)
      .formatToParts(t)
      .map(({ type, value }) => [type, value]),
  );
  return `${part.year}-${part.month}-${part.day}T${part.hour}:${part.minute}`;
}

/**
 * The instant at which a zone's wall clock shows `local`; null when it is no date and time.
 * An hour that comes twice is taken as the first, one that is skipped as an hour later.
 */
export function instantOf(local: string, zone: string): EpochMs | null {
  if (!/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?$/.test(local)) return null;
  const asUtc = Date.parse(`${local.slice(0, 16)}Z`);
  if (Number.isNaN(asUtc)) return null;
  const offsetAt = (t: EpochMs) => Date.parse(`${localOf(t, zone)}Z`) - Math.floor(t / minuteMs) * minuteMs;
  // Around a change of the clock there are two offsets; the earlier instant that shows `local` is it.
  const tries = [asUtc - offsetAt(asUtc - 86_400_000), asUtc - offsetAt(asUtc + 86_400_000)];
  const fits = tries.filter((t) => localOf(t, zone) === local.slice(0, 16));
  return fits.length > 0 ? Math.min(...fits) : Math.max(...tries);
}
