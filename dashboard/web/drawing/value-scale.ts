/** Where a value, its limits and its way ahead lie on a scale 0-1. */
export interface ScalePlan {
  /** The allowed band. */
  band: { from: number; to: number };
  low: number | null;
  high: number | null;
  pointer: number;
  /** Where it will be; null when it stays about where it is. */
  ahead: number | null;
  /** The value lies beyond the end of the scale. */
  beyond: boolean;
  outside: boolean;
  aheadOutside: boolean;
}

interface Input {
  value: number;
  low: number | null;
  high: number | null;
  ahead: number | null;
  /** Width to give a side without a limit, in the value's unit. */
  openSpan: number;
}

/** Room left and right of the band, as a share of it. */
const margin = 0.6;

/**
 * Lays out a scale so that the band always has about the same place and the eye learns it:
 * only a value far outside moves to the very end.
 */
export function planScale({ value, low, high, ahead, openSpan }: Input): ScalePlan | null {
  if (low === null && high === null) return null;
  const from = low ?? high! - openSpan;
  const to = high ?? low! + openSpan;
  const span = Math.max(to - from, 1e-6);
  const start = from - margin * span;
  const end = to + margin * span;
  const place = (at: number) => Math.min(1, Math.max(0, (at - start) / (end - start)));
  const isOutside = (at: number) => (low !== null && at < low) || (high !== null && at > high);
  const pointer = place(value);
  const tip = ahead === null ? null : place(ahead);
  return {
    band: { from: low === null ? 0 : place(low), to: high === null ? 1 : place(high) },
    low: low === null ? null : place(low),
    high: high === null ? null : place(high),
    pointer,
    ahead: tip === null || Math.abs(tip - pointer) < 0.06 ? null : tip,
    beyond: value < start || value > end,
    outside: isOutside(value),
    aheadOutside: ahead !== null && isOutside(ahead),
  };
}
