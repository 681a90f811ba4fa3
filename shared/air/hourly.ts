import { type EpochMs, hourMs } from '../time.ts';

/** Mean of one whole hour of UTC. */
export interface HourMean {
  /** Start of the hour, epoch ms. */
  t: EpochMs;
  tempC: number;
  count: number;
}

/** The hour that is filling, or null before the first reading. Plain data: store it as it is. */
export type OpenHour = HourMean | null;

/**
 * Takes one reading into the hour that is filling. When the reading opens a later hour, the one before is
 * handed out as `done`. A reading older than the open hour changes nothing: what was learned from an hour
 * stays, so an answer given at an instant can be given again.
 */
export function takeReading(
  open: OpenHour,
  t: EpochMs,
  tempC: number,
): { open: OpenHour; done: HourMean | null } {
  const start = Math.floor(t / hourMs) * hourMs;
  if (open === null || start > open.t) return { open: { t: start, tempC, count: 1 }, done: open };
  if (start < open.t) return { open, done: null };
  const count = open.count + 1;
  return { open: { t: start, tempC: open.tempC + (tempC - open.tempC) / count, count }, done: null };
}

/** Means of all hours that a series touches, oldest first; readings may come in any order. */
export function hourlyMeans(samples: readonly { t: EpochMs; tempC: number }[]): HourMean[] {
  const hours = new Map<EpochMs, HourMean>();
  for (const { t, tempC } of samples) {
    const start = Math.floor(t / hourMs) * hourMs;
    const hour = hours.get(start);
    if (hour === undefined) hours.set(start, { t: start, tempC, count: 1 });
    else {
      hour.count++;
      hour.tempC += (tempC - hour.tempC) / hour.count;
    }
  }
  return [...hours.values()].sort((a, b) => a.t - b.t);
}
