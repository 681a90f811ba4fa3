import type { BatchState } from '../../shared/batches.ts';
import { type EpochMs, minuteMs } from '../../shared/time.ts';
import { stepMs, stepOf } from './grid.ts';
import { numberOf } from './seeded.ts';

/**
 * Batches take up a step that is over in turns, each at a minute of its own: ten thousand at once would be seconds
 * of work, once every 5 min. What has just been done to a batch is taken up at once.
 */
export interface Turn {
  /** Time after the end of a step at which the batch takes it up. */
  afterMs: number;
  /** Instants of what was done to it, in any order, and the step of the last of them. */
  doneAt: readonly EpochMs[];
  lastDone: number;
}

export function turnOf({ id, madeAt, cohorts }: BatchState): Turn {
  const done = cohorts.flatMap(({ stays, checks, shakes, left }) => [
    ...stays.map(({ from }) => from),
    ...checks.map(({ t }) => t),
    ...shakes,
    ...(left === undefined ? [] : [left.t]),
  ]);
  const doneAt = [madeAt, ...done];
  return {
    afterMs: numberOf(id, stepMs / minuteMs) * minuteMs,
    doneAt,
    lastDone: stepOf(Math.max(...doneAt)),
  };
}

/** Step to which a batch is brought at an instant; never before that of anything done to it by then. */
export function stepAt({ afterMs, doneAt, lastDone }: Turn, now: EpochMs): number {
  const most = stepOf(now);
  let step = stepOf(now - afterMs);
  // Only the step just begun can still be missing.
  if (step < most && step < lastDone) for (const t of doneAt) if (t <= now) step = Math.max(step, stepOf(t));
  return step;
}
