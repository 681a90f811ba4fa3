import type { BatchState } from '../../shared/batches.ts';
import { type Beliefs, firstBelief, type TraitBelief } from '../../shared/growth/belief.ts';
import { type Eye, eyeOf, unknownEye } from '../../shared/growth/look.ts';

/** What is believed of a strain's batches and of people's eyes, by name. */
export interface BeliefBook {
  beliefOf(batch: Pick<BatchState, 'strain' | 'inoculation'>): TraitBelief;
  eyeOf(who: string): Eye;
  /** Text that changes when anything changes that a batch rests on. */
  versionFor(batch: BatchState): string;
}

export function createBeliefBook({ strains, people }: Beliefs): BeliefBook {
  const key = (strain: string, way: string | null): string => `${strain}|${way ?? ''}`;
  const byStrain = new Map(strains.map(({ strain, way, belief }) => [key(strain, way), belief]));
  const byName = new Map(people.map(({ who, habit }) => [who, eyeOf(habit)]));
  const beliefOf: BeliefBook['beliefOf'] = ({ strain, inoculation }) =>
    byStrain.get(key(strain, inoculation.way)) ?? byStrain.get(key(strain, null)) ?? firstBelief;
  return {
    beliefOf,
    eyeOf: (who) => byName.get(who) ?? unknownEye,
    versionFor(batch) {
      const who = new Set(batch.cohorts.flatMap(({ checks }) => checks.map((check) => check.who)));
      const eyes = [...who].sort().map((name) => byName.get(name));
      return JSON.stringify([beliefOf(batch), eyes]);
    },
  };
}
