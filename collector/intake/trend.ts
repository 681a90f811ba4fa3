import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';

/** Points that the window is cut into; more would only cost time. */
const bins = 30;
/** Fewer points, or a shorter span of the window, say nothing about the trend. */
const leastPoints = 5;
const leastShare = 1 / 3;

export interface Trend {
  /** True when a point was added rather than one refined: only then is it worth asking anew. */
  add(t: EpochMs, value: number): boolean;
  /** Change per hour over the window before `now` by the median of all slopes (Theil-Sen); null while unknown. */
  perHour(now: EpochMs): number | null;
}

/**
 * Trend of one channel over about 30 min, or six periods of a sensor that sends rarely. Values are
 * averaged into 30 bins, so its size and cost do not depend on how often the sensor sends, and the
 * median of slopes is not moved by a few wild ones (Theil 1950; Sen 1968, J. Am. Stat. Assoc. 63:1379).
 */
export function createTrend(everyS: number): Trend {
  const windowMs = Math.max(30 * minuteMs, 6 * everyS * 1000);
  const binMs = windowMs / bins;
  // A ring: the bin of instant t lives at slot (t / binMs) mod bins.
  const numbers = new Float64Array(bins).fill(-1);
  const sumT = new Float64Array(bins);
  const sums = new Float64Array(bins);
  const counts = new Float64Array(bins);

  return {
    add(t, value) {
      const number = Math.floor(t / binMs);
      const slot = number % bins;
      const held = numbers[slot] as number;
      if (held > number) return false;
      const begun = held < number;
      if (begun) {
        numbers[slot] = number;
        sumT[slot] = sums[slot] = counts[slot] = 0;
      }
      sumT[slot] = (sumT[slot] as number) + (t % binMs);
      sums[slot] = (sums[slot] as number) + value;
      counts[slot] = (counts[slot] as number) + 1;
      return begun;
    },
    perHour(now) {
      const oldest = Math.floor(now / binMs) - bins;
      const times: number[] = [];
      const values: number[] = [];
      for (let slot = 0; slot < bins; slot++) {
        const count = counts[slot] as number;
        const number = numbers[slot] as number;
        if (count === 0 || number <= oldest) continue;
        times.push(number * binMs + (sumT[slot] as number) / count);
        values.push((sums[slot] as number) / count);
      }
      if (times.length < leastPoints) return null;
      if (Math.max(...times) - Math.min(...times) < windowMs * leastShare) return null;
      return medianSlope(times, values) * hourMs;
    },
  };
}

function medianSlope(times: readonly number[], values: readonly number[]): number {
  const slopes = new Float64Array((times.length * (times.length - 1)) / 2);
  let at = 0;
  for (let i = 0; i < times.length; i++)
    for (let j = 0; j < i; j++)
      slopes[at++] =
        ((values[i] as number) - (values[j] as number)) / ((times[i] as number) - (times[j] as number));
  slopes.sort();
  const middle = slopes.length >> 1;
  const upper = slopes[middle] as number;
  return slopes.length % 2 === 1 ? upper : ((slopes[middle - 1] as number) + upper) / 2;
}
