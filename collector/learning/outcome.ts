import type { BatchState, Cohort } from '../../shared/batches.ts';
import { fullFrom } from '../../shared/growth/look.ts';
import type { FinishedBatch, Outcome } from '../../shared/learning.ts';

/** When these bags were first seen full, and when last not. */
function seenFull({ bags, checks }: Cohort, madeAt: number): Extract<Outcome, { kind: 'seen' }> | undefined {
  const index = checks.findIndex(({ share }) => share >= fullFrom);
  if (index < 0) return undefined;
  return { kind: 'seen', bags, from: checks[index - 1]?.t ?? madeAt, to: checks[index]!.t };
}

/**
 * What became of a batch; undefined while bags of it grow unseen.
 * Thrown away, spoilt or used before anyone saw it full, it is censored: it was not full when last looked at,
 * and nothing more is known.
 *
 * @param batch with all its cohorts, those that left included
 */
export function outcomeOf({ cohorts, madeAt, endedAt, discarded }: BatchState): Outcome | undefined {
  const seen = cohorts.flatMap((cohort) => seenFull(cohort, madeAt) ?? []).sort((a, b) => a.to - b.to)[0];
  if (seen !== undefined) return seen;
  if (endedAt === null) return undefined;
  const looks = cohorts.flatMap(({ checks }) => checks.map(({ t }) => t));
  return {
    kind: 'censored',
    from: Math.max(madeAt, ...looks),
    reason: discarded.at(-1)?.reason ?? 'used before it was seen full',
  };
}

/** Bags that part later tell nothing else of when they were full. */
const isSame = (one: Outcome | undefined, other: Outcome): boolean =>
  one?.kind === other.kind &&
  one.from === other.from &&
  (one.kind === 'seen' ? one.to : null) === (other.kind === 'seen' ? other.to : null);

/**
 * Batches that were put down as finished and whose record says something else now: a look that found them full
 * was taken back, or one was brought in afterwards.
 * @param states batches as known now, with all their cohorts; those not among them are left as they are
 */
export function outdated(
  finished: readonly Pick<FinishedBatch, 'batch' | 'outcome'>[],
  states: ReadonlyMap<string, BatchState>,
): string[] {
  return finished.flatMap(({ batch, outcome }) => {
    const state = states.get(batch);
    return state === undefined || isSame(outcomeOf(state), outcome) ? [] : batch;
  });
}

/** The instant that forecasts are measured against: half-way between the look that found it full and the one before. */
export const observedReady = ({ from, to }: { from: number; to: number }): number => (from + to) / 2;
