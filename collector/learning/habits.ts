import { type BatchTraits, type Beliefs, firstHabit } from '../../shared/growth/belief.ts';
import { fullFrom, lookError, nothingTo } from '../../shared/growth/look.ts';

/** Habits are told in steps of this, so that a new look does not work out everything again. */
const step = 0.05;
const inSteps = (value: number): number => Math.round(value / step) * step;

/** A person's looks before their habit is believed in. Assumed. */
const enoughLooks = 5;

/**
 * What people's looks at finished batches say of their eyes: how far each judged share lay off the one that all
 * looks together make likely, in units of a look's error. 'Full' and 'nothing yet' say nothing of a habit, and
 * slips do not count. A look pulls the share towards itself, so habits come out a little small.
 */
export function habitsOf(batches: readonly BatchTraits[]): Beliefs['people'] {
  const people = new Map<string, { count: number; precision: number; weighted: number }>();
  for (const { looks } of batches)
    for (const { who, judged, share, slip } of looks) {
      if (judged >= fullFrom || judged <= nothingTo || slip > 0.5) continue;
      const person = people.get(who) ?? { count: 0, precision: 1 / firstHabit.sd ** 2, weighted: 0 };
      const error = lookError(share.mean);
      const variance = 1 + (share.sd / error) ** 2;
      person.count += 1;
      person.precision += 1 / variance;
      person.weighted += (judged - share.mean) / error / variance;
      people.set(who, person);
    }
  return [...people]
    .filter(([, { count }]) => count >= enoughLooks)
    .map(([who, { precision, weighted }]) => ({
      who,
      habit: { mean: inSteps(weighted / precision), sd: Math.max(step, inSteps(Math.sqrt(1 / precision))) },
    }))
    .sort((a, b) => (a.who < b.who ? -1 : 1));
}
