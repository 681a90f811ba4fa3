import type { RecordedReadings } from '../../shared/ports.ts';
import { rollupWidthsMs } from '../../shared/readings.ts';
import { type EpochMs, hourMs } from '../../shared/time.ts';
import { isUsable } from '../../shared/usable.ts';
import { excess, type LimitRule } from '../conditions/limit.ts';
import type { TimeSpan } from './spans.ts';

const [, slotMs] = rollupWidthsMs;
/** Between readings further apart than this nothing is known, and nothing is counted. */
const gapMs = hourMs;

/** A stretch between two readings that was beyond a limit. */
export interface Beyond {
  from: EpochMs;
  to: EpochMs;
  /** Mean excess over the limit, in the limit's unit. */
  by: number;
}

/** Where a channel's good readings were beyond a limit: its exposure, stretch by stretch. */
export function beyondIn(
  recorded: RecordedReadings,
  channel: string,
  ruleAt: (t: EpochMs) => Pick<LimitRule, 'side' | 'limit'>,
  from: EpochMs,
  to: EpochMs,
): Beyond[] {
  const found: Beyond[] = [];
  let last: { t: EpochMs; over: number } | null = null;
  for (const slot of recorded.extremes(channel, slotMs, from - (from % slotMs), to)) {
    const rule = ruleAt(slot.t);
    if (excess(rule, slot.high) <= 0 && excess(rule, slot.low) <= 0) {
      last = null;
      continue;
    }
    const [start, stop] = [Math.max(from, slot.t), Math.min(to, slot.t + slotMs)];
    for (const { t, value, quality } of recorded.readings(channel, start, stop)) {
      if (!isUsable(quality)) continue;
      const over = Math.max(0, excess(ruleAt(t), value));
      const by = last === null ? 0 : (last.over + over) / 2;
      if (last !== null && by > 0 && t - last.t <= gapMs) found.push({ from: last.t, to: t, by });
      last = { t, over };
    }
  }
  return found;
}

/** Exposure outside the spans, which do not overlap, in which an alarm held: unit of the limit times hours. */
export function unseenOf(exposure: readonly Beyond[], held: readonly TimeSpan[]): number {
  let unseen = 0;
  for (const { from, to, by } of exposure) {
    let free = to - from;
    for (const [start, stop] of held) free -= Math.max(0, Math.min(to, stop) - Math.max(from, start));
    unseen += (by * Math.max(0, free)) / hourMs;
  }
  return unseen;
}
