import type { BatchState } from '../../shared/batches.ts';
import type { BatchRun } from './batch-run.ts';
import { slot } from './cohort-run.ts';
import { stepOf } from './grid.ts';

/** Heat that bags bring with them from those that they were poured from; slows growth while remembered. */
export interface Exposure {
  /** Equivalent hours at the heat limit. */
  doseHours: number;
  /** What of it mycelium has not recovered from [equivalent h]. */
  memoryHours: number;
}
export const unexposed: Exposure = { doseHours: 0, memoryHours: 0 };

/** Generations that a batch is followed back. */
export const farthest = 8;

/** Batches that some were poured from, nearest first, as far as they are known. */
export function ancestorsOf(
  { parent }: BatchState,
  known: (id: string) => BatchState | undefined,
): BatchState[] {
  const found: BatchState[] = [];
  for (let next = parent; next !== null && found.length < farthest; ) {
    const state = known(next.batch);
    if (state === undefined) break;
    found.push(state);
    next = state.parent;
  }
  return found;
}

/** Standing batches and all that they descend from. */
export function withAncestors(
  standing: readonly BatchState[],
  known: (id: string) => BatchState | undefined,
): BatchState[] {
  const all = new Map(standing.map((batch) => [batch.id, batch]));
  for (const batch of standing) for (const one of ancestorsOf(batch, known)) all.set(one.id, one);
  return [...all.values()];
}

/**
 * Exposure that a child takes over when it is poured: that of the bag it came from, of the worst one where the
 * bag is not known.
 * @param parent run of the parent, not past the pour
 */
export function handedDown(parent: BatchRun, child: BatchState): Exposure {
  parent.advance(stepOf(child.madeAt));
  const bag = child.parent?.bag;
  const worst: Exposure = { ...unexposed };
  for (const { cohort, state } of parent.cohorts()) {
    if (bag !== undefined && !cohort.bags.includes(bag)) continue;
    worst.doseHours = Math.max(worst.doseHours, parent.inherited.doseHours + state[slot.dose]!);
    worst.memoryHours = Math.max(worst.memoryHours, state[slot.memory]!);
  }
  return worst;
}
