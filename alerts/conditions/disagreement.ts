import { median } from '../../shared/stats/robust.ts';
import type { EpochMs } from '../../shared/time.ts';
import type { SignalPlan } from './signal.ts';

/** Neighbours heard within this many of their periods count. */
const freshPeriods = 3;

/**
 * How far a channel is from the median of all that measure the same in the same place, itself included;
 * among two this is half their difference, so the whole difference is given instead.
 */
export const disagreementPlan = (
  channel: string,
  others: readonly { channel: string; everyMs: number }[],
): SignalPlan => ({
  out: `${channel}>apart`,
  sources: [channel, ...others.map((other) => other.channel)],
  ofHealth: true,
  create() {
    const last = new Map<string, { t: EpochMs; value: number }>();
    return {
      read(source, t, value) {
        if (source !== channel) {
          last.set(source, { t, value });
          return null;
        }
        const near: number[] = [];
        for (const other of others) {
          const known = last.get(other.channel);
          if (known && Math.abs(t - known.t) <= freshPeriods * other.everyMs) near.push(known.value);
        }
        if (near.length === 0) return null;
        return Math.abs(value - (near.length === 1 ? near[0]! : median([...near, value])));
      },
    };
  },
});
