import type { EpochMs } from '../../shared/time.ts';

export type TimeSpan = readonly [from: EpochMs, to: EpochMs];

/** Spans joined where they meet or overlap, oldest first. */
export function union(spans: readonly TimeSpan[]): TimeSpan[] {
  const joined: [EpochMs, EpochMs][] = [];
  for (const [from, to] of [...spans].sort(([a], [b]) => a - b)) {
    const last = joined.at(-1);
    if (last !== undefined && from <= last[1]) last[1] = Math.max(last[1], to);
    else joined.push([from, to]);
  }
  return joined;
}

export const lengthOf = (spans: readonly TimeSpan[]): number =>
  spans.reduce((sum, [from, to]) => sum + to - from, 0);
