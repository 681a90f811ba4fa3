import { median } from '../../shared/stats/robust.ts';
import { minuteMs } from '../../shared/time.ts';
import { createRecent } from './recent.ts';
import type { SignalPlan } from './signal.ts';
import { createUsual } from './usual.ts';

const spanMs = 10 * minuteMs;
const gapMs = 60_000;
const leastReadings = 4;

/**
 * How far the air is beyond what its thermostat usually lets happen on one side [unit of the channel], by the
 * median of 10 min; 0 or less within it. Lasting, it means that cooling (above) or heating (below) runs
 * without effect, or does not run.
 */
export const departurePlan = (channel: string, side: 'above' | 'below'): SignalPlan => ({
  out: `${channel}>beyond usual ${side}`,
  sources: [channel],
  create() {
    const sign = side === 'above' ? 1 : -1;
    const recent = createRecent(spanMs, gapMs);
    const usual = createUsual(side);
    let known: number | null = null;
    return {
      read(_, t, value) {
        if (!recent.add(t, value) || recent.count < leastReadings) return null;
        const values: number[] = [];
        for (let i = 0; i < recent.count; i += 1) values.push(recent.value(i));
        const level = median(values);
        usual.add(t, level);
        known = usual.at(t);
        return known === null ? null : sign * (level - known);
      },
      detail: () => (known === null ? '' : `${known.toFixed(1)} °C`),
      keep: usual.keep,
    };
  },
});
