import { hourMs, minuteMs } from '../../shared/time.ts';
import { createRecent } from './recent.ts';
import type { SignalPlan } from './signal.ts';

const spanMs = 15 * minuteMs;
const gapMs = 20_000;
/** A slope needs this much of the span and this many readings. */
const leastSpanMs = 10 * minuteMs;
const leastReadings = 4;

/** Change of a channel per hour: the least-squares slope over the last 15 min. */
export const ratePlan = (channel: string): SignalPlan => ({
  out: `${channel}>rate`,
  sources: [channel],
  create() {
    const recent = createRecent(spanMs, gapMs);
    return {
      read(_, t, value) {
        if (!recent.add(t, value) || recent.count < leastReadings) return null;
        if (t - recent.t(0) < leastSpanMs) return null;
        let sumX = 0;
        let sumY = 0;
        for (let i = 0; i < recent.count; i += 1) {
          sumX += recent.t(i) - t;
          sumY += recent.value(i);
        }
        const meanX = sumX / recent.count;
        const meanY = sumY / recent.count;
        let xx = 0;
        let xy = 0;
        for (let i = 0; i < recent.count; i += 1) {
          const x = recent.t(i) - t - meanX;
          xx += x * x;
          xy += x * (recent.value(i) - meanY);
        }
        return (xy / xx) * hourMs;
      },
    };
  },
});
