import { turnsOf } from '../room/swings.ts';
import { type EpochMs, minuteMs } from '../time.ts';
import type { RecentAir } from './plan-input.ts';

/** Air on its way down from one place in a series to another; in a room that swings, while its cooler runs. */
export interface Fall {
  top: number;
  bottom: number;
}

/** Air of the last hours, as questions are put to it. Times are places in it. */
export interface AirSeries {
  /** Gaps carried over, single odd readings taken out; NaN before the first [°C]. */
  tempC: Float64Array;
  /** The first that was measured. */
  first: number;
  /** Falls of a room that swings, in order, the last maybe underway; none where samples are too far apart. */
  falls: readonly Fall[];
  /** How many samples so many minutes are, at least one; and how many minutes so many samples. */
  samples: (minutes: number) => number;
  minutes: (samples: number) => number;
}

function smooth(airC: Float64Array): Float64Array {
  let last = Number.NaN;
  const carried = airC.map((tempC) => {
    if (Number.isFinite(tempC)) last = tempC;
    return last;
  });
  return carried.map((tempC, index) => {
    const [a, b] = [carried[index - 1] ?? tempC, carried[index + 1] ?? tempC];
    return Math.max(Math.min(a, b), Math.min(Math.max(a, b), tempC));
  });
}

/** Swings are told by samples of which no more than a few are missing. */
const leastMeasured = 0.6;

/** The air up to `now`; null where nothing was measured. */
export function seriesOf({ firstT, stepMs, airC }: RecentAir, now: EpochMs): AirSeries | null {
  const end = Math.min(airC.length, Math.floor((now - firstT) / stepMs) + 1);
  const tempC = smooth(airC.subarray(0, end));
  const first = tempC.findIndex(Number.isFinite);
  if (first < 0) return null;
  // Values carried over a sensor's long pauses would make steps of its swings.
  const measured = airC.subarray(first, end).filter(Number.isFinite).length;
  const runs = measured >= leastMeasured * (end - first) ? turnsOf(tempC, stepMs / minuteMs) : [];
  const falls = runs.flatMap((turns) =>
    turns.flatMap(({ at, top }, k) => (top ? [{ top: at, bottom: turns[k + 1]?.at ?? end - 1 }] : [])),
  );
  return {
    ...{ tempC, first, falls },
    samples: (minutes) => Math.max(1, Math.round((minutes * minuteMs) / stepMs)),
    minutes: (samples) => Math.round((samples * stepMs) / minuteMs),
  };
}

/** The highest (sign 1) or lowest (-1) value of a stretch; infinite where it is empty. */
export function extreme(values: Float64Array, from: number, until: number, sign: 1 | -1): number {
  let best = -Infinity;
  for (let index = Math.max(0, from); index < until; index++) best = Math.max(best, sign * values[index]!);
  return sign * best;
}

/** Place of the highest (sign 1) or lowest (-1) value of a stretch; the first of them. */
export function bestAt(values: Float64Array, from: number, until: number, sign: 1 | -1): number {
  let best = Math.max(0, from);
  for (let index = best + 1; index < until; index++)
    if (sign * values[index]! > sign * values[best]!) best = index;
  return best;
}

/** The highest of so many values before each place. */
export function highestBefore(values: Float64Array, count: number): Float64Array {
  const out = new Float64Array(values.length).fill(Number.NaN);
  const falling: number[] = [];
  let head = 0;
  for (let at = 0; at + 1 < values.length; at++) {
    while (falling.length > head && !(values[falling[falling.length - 1]!]! > values[at]!)) falling.pop();
    falling.push(at);
    if (falling[head]! <= at - count) head++;
    out[at + 1] = values[falling[head]!]!;
  }
  return out;
}
