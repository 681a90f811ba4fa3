import { type EpochMs, hourMs, minuteMs } from './time.ts';

/** Zones change their offset at whole quarters of an hour. */
const knownForMs = 15 * minuteMs;
/** Offsets that are remembered, a year of them: one of these lives as long as a site runs. */
const mostKnown = 4 * 24 * 366;

/**
 * Hour of the local day at an instant, 0 to 24, with its fraction.
 *
 * @throws RangeError for a zone that is not in the IANA database.
 */
export function createLocalHour(timeZone: string): (t: EpochMs) => number {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    hour: 'numeric',
    minute: 'numeric',
    hourCycle: 'h23',
  });
  // Formatting costs microseconds, and a plan asks of thousands of instants.
  const offsets = new Map<number, number>();
  const offsetAt = (t: EpochMs): number => {
    const key = Math.floor(t / knownForMs);
    let offset = offsets.get(key);
    if (offset === undefined) {
      const start = key * knownForMs;
      const part = Object.fromEntries(format.formatToParts(start).map(({ type, value }) => [type, value]));
      offset = Number(part.hour) + Number(part.minute) / 60 - ((start / hourMs) % 24);
      if (offsets.size === mostKnown) offsets.clear();
      offsets.set(key, offset);
    }
    return offset;
  };
  return (t) => (((t / hourMs) % 24) + offsetAt(t) + 48) % 24;
}
