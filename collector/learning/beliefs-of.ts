import { inoculationWay } from '../../shared/bags.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Beliefs } from '../../shared/growth/belief.ts';
import type { FinishedBatch } from '../../shared/learning.ts';
import { type Evidence, evidenceOf } from './evidence.ts';
import { habitsOf } from './habits.ts';
import { type Kin, type Learned, learn } from './hierarchy.ts';
import { shakeChanceOf } from './shaking.ts';

/** Below this share of time with measured air a batch teaches nothing of its strain. Assumed. */
const leastAirTold = 0.5;

type Lesson = { kin: Kin; evidence: Evidence } | null;
const lessons = new WeakMap<FinishedBatch, Lesson>();

/** What a finished batch teaches of its kin; nothing when its air was hardly measured. */
function lessonOf(batch: FinishedBatch): Lesson {
  const found = lessons.get(batch);
  if (found !== undefined) return found;
  const { way, species, strain, traits } = batch;
  const evidence = traits !== null && traits.airTold >= leastAirTold ? evidenceOf(traits) : undefined;
  const lesson = evidence === undefined ? null : { kin: { way, species, strain }, evidence };
  lessons.set(batch, lesson);
  return lesson;
}

/** What finished batches teach of traits. */
export const learnedFrom = (finished: readonly FinishedBatch[]): Learned =>
  learn(finished.flatMap((batch) => lessonOf(batch) ?? []));

/**
 * When what is believed of a strain last changed: when one of its own batches was finished, and as long as none
 * was, any. Others teach it too, but little, and each change works all its standing bags out again.
 */
function changedAt(strain: string, finished: readonly FinishedBatch[]): number {
  const own = finished.findLast((batch) => batch.strain === strain);
  return (own ?? finished.at(-1))?.knownAt ?? 0;
}

/**
 * What is to be believed of every strain of the farm, by way of inoculating, and of people's eyes.
 *
 * @param finished in the order in which they became known; the answer depends on nothing else.
 */
export function beliefsOf(farm: Farm, finished: readonly FinishedBatch[]): Beliefs {
  const learnedBy = new Map<number, { learned: Learned; from: readonly FinishedBatch[] }>();
  const by = (t: number) => {
    const from = finished.filter(({ knownAt }) => knownAt <= t);
    const found = learnedBy.get(t) ?? { learned: learnedFrom(from), from };
    learnedBy.set(t, found);
    return found;
  };
  return {
    strains: [...farm.strains.values()].flatMap(({ id: strain, species }) => {
      const { learned, from } = by(changedAt(strain, finished));
      return inoculationWay.options.map((way) => ({
        strain,
        way,
        belief: learned.beliefOf({ strain, species, way }),
        shakeChance: shakeChanceOf(farm, from, way),
      }));
    }),
    people: habitsOf(finished.flatMap(({ traits }) => traits ?? [])),
  };
}

/** Works beliefs out anew when more batches are finished than before. */
export function createBeliefKeeper(farm: Farm) {
  let known = '';
  return {
    /** @returns undefined while nothing new is known. */
    after(finished: readonly FinishedBatch[]): Beliefs | undefined {
      const now = `${finished.length} ${finished.at(-1)?.knownAt ?? ''}`;
      if (now === known) return undefined;
      known = now;
      return beliefsOf(farm, finished);
    },
  };
}
