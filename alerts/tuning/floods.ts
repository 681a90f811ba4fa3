import type { EpochMs } from '../../shared/time.ts';
import { type AlarmFlood, periodMs } from '../../shared/tuning.ts';

/** Alarms in 10 min above which a flood begins, and below which it ends (ISA-18.2, alarm floods). */
const beginsAbove = 10;
const endsBelow = 5;

/** Start of the 10-min period that an instant falls into. */
export const periodOf = (t: EpochMs): EpochMs => t - (((t % periodMs) + periodMs) % periodMs);

/** How many of the instants fall into each 10-min period; only periods with any, oldest first. */
export function countByPeriod(times: Iterable<EpochMs>): [start: EpochMs, count: number][] {
  const counts = new Map<EpochMs, number>();
  for (const t of times) {
    const start = periodOf(t);
    counts.set(start, (counts.get(start) ?? 0) + 1);
  }
  return [...counts].sort(([a], [b]) => a - b);
}

/**
 * Alarm floods in a run of 10-min counts, oldest first; a period that is left out holds none. A flood still
 * going on ends with its last period.
 */
export function floodsIn(counts: readonly (readonly [start: EpochMs, count: number])[]): AlarmFlood[] {
  const floods: AlarmFlood[] = [];
  let open: AlarmFlood | null = null;
  for (const [start, count] of counts) {
    if (open !== null && (count < endsBelow || start > open.to)) open = null;
    if (open === null) {
      if (count <= beginsAbove) continue;
      open = { from: start, to: start, alarms: 0, peak: 0 };
      floods.push(open);
    }
    open.to = start + periodMs;
    open.alarms += count;
    open.peak = Math.max(open.peak, count);
  }
  return floods;
}
