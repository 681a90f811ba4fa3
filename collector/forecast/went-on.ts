import type { BatchState, Cohort } from '../../shared/batches.ts';
import type { EpochMs } from '../../shared/time.ts';

const text = (value: unknown): string => JSON.stringify(value) ?? '';

/** Earliest instant of what is in only one of two lists; Infinity when they are the same. */
function firstApart<T>(was: readonly T[], is: readonly T[], at: (one: T) => EpochMs): EpochMs {
  let same = 0;
  while (same < was.length && same < is.length && text(was[same]) === text(is[same])) same++;
  return Math.min(...[...was.slice(same), ...is.slice(same)].map(at));
}

function cohortApart(was: Cohort, is: Cohort): EpochMs {
  // The first shelf also stands for the time before the bags were placed.
  if (was.id !== is.id || text(was.bags) !== text(is.bags) || text(was.stays[0]) !== text(is.stays[0]))
    return Number.NEGATIVE_INFINITY;
  return Math.min(
    firstApart(was.stays, is.stays, ({ from }) => from),
    firstApart(was.checks, is.checks, ({ t }) => t),
    firstApart(was.shakes, is.shakes, (t) => t),
    firstApart(was.left ? [was.left] : [], is.left ? [is.left] : [], ({ t }) => t),
  );
}

/**
 * Instant from which two tellings of one batch differ: what was worked out of the one up to then holds for the
 * other. Infinity when they are the same, -Infinity when nothing of it holds.
 */
export function apartFrom(was: BatchState, is: BatchState): EpochMs {
  const made = ({ id, strain, container, generation, inoculation, madeAt, parent }: BatchState): string =>
    text([id, strain, container, generation, inoculation, madeAt, parent]);
  if (made(was) !== made(is) || was.cohorts.length !== is.cohorts.length) return Number.NEGATIVE_INFINITY;
  return Math.min(...was.cohorts.map((cohort, index) => cohortApart(cohort, is.cohorts[index]!)));
}
