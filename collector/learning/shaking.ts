import type { InoculationWay } from '../../shared/bags.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { FinishedBatch } from '../../shared/learning.ts';

/**
 * Before any batch: first grain is mostly shaken about a week in, grain to grain seldom (common practice, no
 * source), which counts as two batches.
 */
const practice: Record<InoculationWay, number> = {
  'agar-wedges': 0.85,
  'liquid-culture': 0.7,
  'grain-to-grain': 0.3,
};
const practiceWeight = 2;

/**
 * How often this farm shakes batches of a way of inoculating that may be shaken, as a chance for the next one:
 * the mean of a beta distribution over those that were seen full.
 */
export function shakeChanceOf(farm: Farm, finished: readonly FinishedBatch[], way: InoculationWay): number {
  const like = finished.filter(
    (batch) =>
      batch.way === way &&
      batch.generation !== 'block' &&
      batch.outcome.kind === 'seen' &&
      farm.containers.get(batch.container)?.shakeable === true,
  );
  const shaken = like.filter(({ shakenAt }) => shakenAt !== null).length;
  return (practice[way] * practiceWeight + shaken) / (practiceWeight + like.length);
}
