/** Mean of each step's readings of one channel. Grows both ways; old ends can be dropped. */
export interface StepSeries {
  /** A reading, or the mean of `readings` of them. */
  add(step: number, value: number, readings?: number): void;
  /** NaN for a step without a reading. */
  mean(step: number): number;
  /** First step with a reading; Infinity when empty. */
  first(): number;
  dropBefore(step: number): void;
}

export function createStepSeries(): StepSeries {
  let base = 0;
  let sum = new Float64Array(0);
  let count = new Uint16Array(0);
  let first = Number.POSITIVE_INFINITY;

  /** Makes room for [from, to), keeping what is there. */
  const resize = (from: number, to: number, kept: number): void => {
    const nextSum = new Float64Array(to - from);
    const nextCount = new Uint16Array(to - from);
    const skipped = Math.max(0, kept - base);
    nextSum.set(sum.subarray(skipped), base + skipped - from);
    nextCount.set(count.subarray(skipped), base + skipped - from);
    base = from;
    sum = nextSum;
    count = nextCount;
  };

  const include = (step: number): void => {
    if (sum.length === 0) resize(step - 288, step + 288, step);
    else if (step < base) resize(step - sum.length, base + sum.length, base);
    else if (step >= base + sum.length) resize(base, Math.max(step + 1, base + 2 * sum.length), base);
  };

  return {
    add(step, value, readings = 1) {
      include(step);
      if (count[step - base]! + readings > 65_535) return;
      sum[step - base]! += value * readings;
      count[step - base]! += readings;
      first = Math.min(first, step);
    },
    mean(step) {
      const index = step - base;
      const readings = index >= 0 && index < count.length ? count[index]! : 0;
      return readings === 0 ? Number.NaN : sum[index]! / readings;
    },
    first: () => first,
    dropBefore(step) {
      if (sum.length === 0 || step - base < 4 * 288) return;
      const end = base + sum.length;
      if (step >= end) {
        sum = new Float64Array(0);
        count = new Uint16Array(0);
        first = Number.POSITIVE_INFINITY;
        return;
      }
      resize(step, end, step);
      while (first < end && count[Math.max(first, base) - base] === 0) first = Math.max(first, base) + 1;
      first = Math.max(first, base);
    },
  };
}

/** Mean of several channels' means in a step; NaN without any. */
export function meanOf(series: readonly StepSeries[], step: number): number {
  let sum = 0;
  let count = 0;
  for (const one of series) {
    const value = one.mean(step);
    if (Number.isNaN(value)) continue;
    sum += value;
    count++;
  }
  return sum / count;
}

/** First step with a reading of any; Infinity without one. */
export const firstOf = (series: readonly StepSeries[]): number =>
  Math.min(...series.map((one) => one.first()));
