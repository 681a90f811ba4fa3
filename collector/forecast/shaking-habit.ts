import { shakeBestAt } from '../../shared/growth/shake.ts';
import { particleCount } from './particles.ts';
import { readyIfShaken } from './spells.ts';
import type { View } from './view.ts';

/** Share from which a bag that was due for a shake and got none hardly gets one any more. */
const missedFrom = 0.5;

/** Evenly spread over (0, 1) whatever the other draws of a particle are: multiples of the golden ratio. */
const turns = Float64Array.from({ length: particleCount }, (_, i) => ((i + 0.5) * 0.6180339887498949) % 1);

/** True while a shake of the cohort may still come. */
function mayBeShaken({ run, batch, prospects }: View): boolean {
  return (
    batch.prior.shakeChance > 0 &&
    prospects.helped !== undefined &&
    batch.kind.container.shakeable &&
    batch.batch.generation !== 'block' &&
    !run.marks.some(({ kind }) => kind === 'shake')
  );
}

/**
 * Thermal time at which each particle is full, given the farm's habit: as many of them as batches get a shake
 * are shaken at their best share, or now where that is past; the others are left alone. Without a habit nobody
 * touches the bag.
 */
export function expectedReady(view: View): Float64Array {
  const { targets } = view.prospects;
  if (!mayBeShaken(view)) return targets.ready;
  const { particles, theta, share } = view;
  const { shakeChance } = view.batch.prior;
  return targets.ready.map((untouched, i) => {
    const late = Math.min(1, Math.max(0, (missedFrom - share[i]!) / (missedFrom - shakeBestAt)));
    if (targets.gainAtBest[i]! < targets.worth || turns[i]! >= shakeChance * late) return untouched;
    return theta[i]! < targets.best[i]!
      ? untouched - targets.gainAtBest[i]!
      : Math.min(untouched, readyIfShaken(particles, i, theta[i]!, share[i]!));
  });
}
