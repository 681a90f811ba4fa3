import { type EpochMs, hourMs } from '../../shared/time.ts';
import type { Future } from './future.ts';
import { rowCount, rowEndH, rowLengthH } from './rows.ts';

/** Warmth that a hot load is to bring to a room, over what the room would be without it. */
export interface ComingWarmth {
  room: string;
  /** When the first step begins. */
  from: EpochMs;
  stepMs: number;
  /** Mean over each step [K]. */
  riseK: readonly number[];
  /** How unsure that is, of the whole load at once [K, 1 sd]. */
  sdK: readonly number[];
}

/** Part of a step that lies within a span, 0 to 1. */
const within = (stepFrom: EpochMs, stepMs: number, from: EpochMs, to: EpochMs): number =>
  Math.max(0, Math.min(to, stepFrom + stepMs) - Math.max(from, stepFrom)) / stepMs;

/** How far the mean over the next hours may lie off for one load's sake [K, 1 sd]. */
function sdOverOf({ from, stepMs, sdK }: ComingWarmth, startT: EpochMs, hours: number): number {
  const to = startT + Math.max(hours, 1e-3) * hourMs;
  const sum = sdK.reduce(
    (total, sd, step) => total + sd * within(from + step * stepMs, stepMs, startT, to),
    0,
  );
  return (sum * stepMs) / (to - startT);
}

/** Air to expect with what comes on top of it; rows begin at `startT`. */
export function raised(future: Future, startT: EpochMs, coming: readonly ComingWarmth[]): Future {
  if (coming.length === 0) return future;
  const tempC = future.tempC.slice();
  for (const { from, stepMs, riseK } of coming)
    for (let row = 0; row < rowCount; row++) {
      const to = startT + rowEndH[row]! * hourMs;
      const rowMs = rowLengthH[row]! * hourMs;
      if (to - rowMs >= from + riseK.length * stepMs) break;
      let sum = 0;
      riseK.forEach((rise, step) => {
        sum += rise * within(from + step * stepMs, stepMs, to - rowMs, to);
      });
      tempC[row]! += (sum * stepMs) / rowMs;
    }
  return {
    tempC,
    sdOver: (hours) =>
      Math.hypot(future.sdOver(hours), ...coming.map((warmth) => sdOverOf(warmth, startT, hours))),
  };
}
