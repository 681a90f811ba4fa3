import type { BagEvent, EventOf } from '../bags.ts';
import type { BatchState, Cohort } from '../batches.ts';
import { type BagGroup, followBags, type Problem } from './bag-groups.ts';
import { effectiveEvents } from './effective-events.ts';

type Left = NonNullable<BagGroup['left']>;

/** The bags of a batch as its events leave them, each group with its whole history, also those gone. */
export function bagHistories(
  events: readonly BagEvent[],
): { made: EventOf<'made'>; groups: BagGroup[]; problems: Problem[] } | undefined {
  const counting = effectiveEvents(events);
  const made = counting.find((event) => event.kind === 'made');
  return made && { made, ...followBags(made, counting) };
}

function cohortOf(batch: string, { bags, stays, checks, shakes, left }: BagGroup): Cohort {
  return {
    id: `${batch}/${bags[0]}`,
    batch,
    bags,
    shelf: stays.at(-1)?.shelf ?? null,
    stays,
    checks,
    shakes,
    ...(left === null ? {} : { left }),
  };
}

/**
 * The state of one batch, from its events in any order.
 * Pure: the same events give the same state, whatever the order they were recorded in.
 *
 * @param which with 'all', cohorts are of bags that left too: what was seen of them tells of the batch.
 * @returns undefined when no making is among them, or it was taken back.
 */
export function deriveBatch(
  events: readonly BagEvent[],
  which: 'standing' | 'all' = 'standing',
): BatchState | undefined {
  const histories = bagHistories(events);
  if (histories === undefined) return undefined;
  const { made, groups } = histories;
  const gone = groups
    .flatMap(({ left, bags }) => (left === null ? [] : bags.map((bag) => ({ bag, left }))))
    .sort((a, b) => a.left.t - b.left.t || a.bag - b.bag);
  const whoLeft = (how: Left['how']) => gone.filter(({ left }) => left.how === how);
  const cohorts = groups.map((group) => cohortOf(made.batch, group));
  const standing = cohorts.filter((cohort) => cohort.left === undefined);
  return {
    id: made.batch,
    strain: made.strain,
    container: made.container,
    generation: made.generation,
    inoculation: made.inoculation,
    madeAt: made.t,
    madeBy: made.who,
    count: made.count,
    parent: made.parent ?? null,
    cohorts: which === 'standing' ? standing : cohorts,
    used: whoLeft('used').map(({ bag, left }) => ({ bag, t: left.t })),
    discarded: whoLeft('discarded').map(({ bag, left }) => ({ bag, t: left.t, reason: left.reason })),
    endedAt: standing.length > 0 ? null : gone.at(-1)!.left.t,
  };
}
