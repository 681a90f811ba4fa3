import { z } from 'zod';
import { median } from '../../shared/stats/robust.ts';
import { dayMs, type EpochMs } from '../../shared/time.ts';
import type { SignalPlan } from './signal.ts';

/** Days over which the usual offset against the neighbours is learned before drift is judged. */
const learningDays = 7;
/** CUSUM allowance in standard deviations; with a limit of 5 a false alarm comes about once in 930 days (Page 1954; Montgomery's tables: ARL 465 for two sides). */
const allowance = 0.5;
/** A day counts with at least so many paired readings. */
const leastPairs = 24;

const driftMemory = z.object({
  day: z.number(),
  sum: z.number(),
  pairs: z.number(),
  days: z.number(),
  mean: z.number(),
  squares: z.number(),
  up: z.number(),
  down: z.number(),
});

/**
 * How far a channel has crept from its usual offset against its neighbours: the larger of two one-sided
 * cumulative sums over daily means, in standard deviations of that offset (at least `leastSd`).
 */
export const driftPlan = (channel: string, neighbours: readonly string[], leastSd: number): SignalPlan => ({
  out: `${channel}>drift`,
  sources: [channel, ...neighbours],
  ofHealth: true,
  create() {
    let memory: z.infer<typeof driftMemory> = {
      ...{ day: Number.NEGATIVE_INFINITY, sum: 0, pairs: 0, days: 0, mean: 0, squares: 0, up: 0, down: 0 },
    };
    const last = new Map<string, { t: EpochMs; value: number }>();
    let dirty = false;

    /** Takes in a whole day's mean offset. */
    const close = () => {
      if (memory.pairs < leastPairs) return;
      const offset = memory.sum / memory.pairs;
      if (memory.days < learningDays) {
        const days = memory.days + 1;
        const step = offset - memory.mean;
        const mean = memory.mean + step / days;
        memory = { ...memory, days, mean, squares: memory.squares + step * (offset - mean) };
        return;
      }
      const sd = Math.max(leastSd, Math.sqrt(memory.squares / (learningDays - 1)));
      const z = (offset - memory.mean) / sd;
      memory.up = Math.max(0, memory.up + z - allowance);
      memory.down = Math.max(0, memory.down - z - allowance);
    };

    return {
      read(source, t, value) {
        if (source !== channel) {
          last.set(source, { t, value });
          return null;
        }
        const near = [...last.values()].filter((one) => t - one.t < dayMs / 48).map((one) => one.value);
        if (near.length === 0) return null;
        const day = Math.floor(t / dayMs);
        const closed = day > memory.day && memory.pairs > 0;
        if (closed) close();
        if (day > memory.day) {
          memory = { ...memory, day, sum: 0, pairs: 0 };
          // Once a day is enough: what is lost with a crash is part of one day's mean.
          dirty = true;
        }
        memory.sum += value - median(near);
        memory.pairs += 1;
        return closed && memory.days >= learningDays ? Math.max(memory.up, memory.down) : null;
      },
      detail: () => (memory.up > memory.down ? 'high' : 'low'),
      keep: {
        dirty: () => dirty,
        save() {
          dirty = false;
          return JSON.stringify(memory);
        },
        load(text) {
          const stored = driftMemory.safeParse(JSON.parse(text));
          if (stored.success) memory = stored.data;
        },
      },
    };
  },
});
