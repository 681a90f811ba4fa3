import type { BatchState } from '../../shared/batches.ts';

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
