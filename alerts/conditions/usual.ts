import { z } from 'zod';
import { type EpochMs, hourMs } from '../../shared/time.ts';

/** Hours remembered, and how many must be known before anything is usual. */
const rememberedHours = 72;
const leastHours = 12;
/** What is going on now is no measure of what is usual: the newest so many hours are left out. */
const settling = 2;
/** So many hours of the three days may be out of the ordinary: a door propped open, a hot load. */
const forgivenHours = 2;

const memory = z.array(z.tuple([z.number(), z.number()])).max(rememberedHours + 1);

/**
 * How far the air usually goes to one side: the furthest hour of the last three days but for two, the newest
 * two hours (`settlingHours`) left out. A thermostat keeps within it; what goes beyond, and goes on, is not its doing.
 */
export function createUsual(side: 'above' | 'below', settlingHours = settling) {
  const sign = side === 'above' ? 1 : -1;
  /** Hour and its extreme, turned so that larger is further; oldest first, the running hour last. */
  let hours: [hour: number, extreme: number][] = [];
  let dirty = false;
  let known: { hour: number; value: number | null } = { hour: Number.NaN, value: null };

  const compute = (hour: number): number | null => {
    const settled = hours.filter(([of]) => of <= hour - settlingHours).map(([, extreme]) => extreme);
    if (settled.length < leastHours) return null;
    settled.sort((a, b) => a - b);
    return sign * settled[settled.length - 1 - forgivenHours]!;
  };

  return {
    add(t: EpochMs, value: number): void {
      const hour = Math.floor(t / hourMs);
      const last = hours.at(-1);
      if (last !== undefined && hour < last[0]) return;
      if (last?.[0] === hour) {
        last[1] = Math.max(last[1], sign * value);
        return;
      }
      hours.push([hour, sign * value]);
      hours = hours.filter(([of]) => of > hour - rememberedHours);
      dirty = true;
    },
    /** The usual extreme as known at `t`, or null in the first half day. */
    at(t: EpochMs): number | null {
      const hour = Math.floor(t / hourMs);
      if (known.hour !== hour) known = { hour, value: compute(hour) };
      return known.value;
    },
    keep: {
      dirty: () => dirty,
      save() {
        dirty = false;
        return JSON.stringify(hours);
      },
      load(text: string) {
        const stored = memory.safeParse(JSON.parse(text));
        if (stored.success) hours = stored.data;
      },
    },
  };
}
