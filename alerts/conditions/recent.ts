import type { EpochMs } from '../../shared/time.ts';

/**
 * The newest readings of a channel within a span, thinned to a least gap so that a fast sensor costs no
 * more than a slow one. Plain ring of numbers.
 */
export function createRecent(spanMs: number, gapMs: number) {
  const size = Math.ceil(spanMs / gapMs) + 2;
  const ts = new Float64Array(size);
  const values = new Float64Array(size);
  let first = 0;
  let count = 0;

  return {
    /** Takes a reading; false when it came within the gap after the last one taken, or not after it. */
    add(t: EpochMs, value: number): boolean {
      const last = count === 0 ? Number.NEGATIVE_INFINITY : ts[(first + count - 1) % size]!;
      if (t - last < gapMs) return false;
      while (count > 0 && ts[first]! < t - spanMs) {
        first = (first + 1) % size;
        count -= 1;
      }
      const at = (first + count) % size;
      ts[at] = t;
      values[at] = value;
      count += 1;
      return true;
    },
    get count() {
      return count;
    },
    /** The oldest is 0. */
    t: (index: number): EpochMs => ts[(first + index) % size]!,
    value: (index: number): number => values[(first + index) % size]!,
    clear() {
      count = 0;
    },
  };
}
export type Recent = ReturnType<typeof createRecent>;
