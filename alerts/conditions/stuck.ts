import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { SignalPlan } from './signal.ts';

/** Without a neighbour to compare with, a value must stand still this long before it is suspicious. */
const aloneMs = 24 * hourMs;
const leastReadings = 10;
/** Nothing is known of the time between readings further apart than this. */
const gapMs = hourMs;

/**
 * Minutes for which a channel has said the very same value while a neighbour of the same quantity moved by
 * `moved` or more; 0 when it moves, and nothing while neither
 * can be said.
 */
export const stuckPlan = (channel: string, neighbours: readonly string[], moved: number): SignalPlan => ({
  out: `${channel}>stuck`,
  sources: [channel, ...neighbours],
  ofHealth: true,
  create() {
    let since: EpochMs = Number.NaN;
    let lastT: EpochMs = Number.NEGATIVE_INFINITY;
    let value = Number.NaN;
    let readings = 0;
    /** Span that each neighbour has covered since. */
    const spans = new Map<string, { low: number; high: number }>();
    return {
      read(source, t, next) {
        if (source !== channel) {
          const span = spans.get(source);
          if (span === undefined) spans.set(source, { low: next, high: next });
          else if (next < span.low) span.low = next;
          else if (next > span.high) span.high = next;
          return null;
        }
        const known = t - lastT <= gapMs;
        const moves = next !== value;
        lastT = t;
        if (moves || !known) {
          value = next;
          since = t;
          readings = 1;
          spans.clear();
          return known && moves ? 0 : null;
        }
        readings += 1;
        const stillMs = t - since;
        if (readings < leastReadings) return null;
        let othersMoved = stillMs >= aloneMs;
        for (const { low, high } of spans.values()) othersMoved ||= high - low >= moved;
        return othersMoved ? stillMs / minuteMs : null;
      },
    };
  },
});
