import type { BatchState } from '../../shared/batches.ts';
import { type Beliefs, firstBelief, type TraitBelief } from '../../shared/growth/belief.ts';
import { type Eye, eyeOf, unknownEye } from '../../shared/growth/look.ts';

/** What is believed of a strain's batches and of people's eyes, by name. */
export interface BeliefBook {
  beliefOf(batch: Pick<BatchState, 'strain' | 'inoculation'>): TraitBelief;
  /** Chance that a batch like this gets a shake on this farm. */
  shakeChanceOf(batch: Pick<BatchState, 'strain' | 'inoculation'>): number;
  eyeOf(who: string): Eye;
  /** Text that changes when anything changes that a batch rests on. */
  versionFor(batch: BatchState): string;
}

export function createBeliefBook({ strains, people }: Beliefs): BeliefBook {
  const key = (strain: string, way: string | null): string => `${strain}|${way ?? ''}`;
  const byStrain = new Map(strains.map((one) => [key(one.strain, one.way), one]));
  const byName = new Map(people.map(({ who, habit }) => [who, eyeOf(habit)]));
  const find = ({ strain, inoculation }: Pick<BatchState, 'strain' | 'inoculation'>) =>
    byStrain.get(key(strain, inoculation.way)) ?? byStrain.get(key(strain, null));
  const beliefOf: BeliefBook['beliefOf'] = (batch) => find(batch)?.belief ?? firstBelief;
  const shakeChanceOf: BeliefBook['shakeChanceOf'] = (batch) => find(batch)?.shakeChance ?? 0;
  return {
    beliefOf,
    shakeChanceOf,
    eyeOf: (who) => byName.get(who) ?? unknownEye,
    versionFor(batch) {
      const who = new Set(batch.cohorts.flatMap(({ checks }) => checks.map((check) => check.who)));
      const eyes = [...who].sort().map((name) => byName.get(name));
      return JSON.stringify([beliefOf(batch), shakeChanceOf(batch), eyes]);
    },
  };
}
