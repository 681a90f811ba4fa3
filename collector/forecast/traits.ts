import type { Inoculation } from '../../shared/bags.ts';
import type { Container, Species, Strain } from '../../shared/farm/schema.ts';
import { evennessOf, headStartDays, pointsPerCm3 } from '../../shared/growth/points.ts';
import { shakeRecoveryDays } from '../../shared/growth/shake.ts';

/** What differs from batch to batch and is learned, all as logarithms of a factor above zero. */
export const traits = ['rate', 'lag', 'points', 'evenness', 'recovery', 'shakenPoints'] as const;
export type Trait = (typeof traits)[number];
export const traitCount = traits.length;

/**
 * What is believed of a batch before anyone looked: logs of the traits are normal.
 * `root` is the lower Cholesky root of their covariance, row after row.
 */
export interface TraitPrior {
  mean: Float64Array;
  root: Float64Array;
}

/** Spread (1 sd of the log) of a batch of a strain that this farm has never finished. Assumed. */
const firstSpread: Record<Trait, number> = {
  rate: 0.25,
  lag: 0.35,
  points: 0.4,
  evenness: 0.35,
  recovery: 0.4,
  shakenPoints: 0.4,
};

/** Logs of the traits that the tables give for a batch: rate [mm/d], lag [d], points [1/cm³], evenness, recovery [d], factor. */
export function tableMeans(
  species: Species,
  strain: Strain,
  container: Container,
  how: Inoculation,
): Float64Array {
  const rate = species.rateMmPerDay * strain.rateFactor;
  const lag = (strain.lagDays ?? species.lagDays) - headStartDays(how, rate);
  return Float64Array.of(
    Math.log(rate),
    Math.log(Math.max(0.2, lag)),
    Math.log(pointsPerCm3(how, container.volumeL)),
    Math.log(evennessOf[how.way]),
    Math.log(shakeRecoveryDays),
    0,
  );
}

export function firstPrior(mean: Float64Array): TraitPrior {
  const root = new Float64Array(traitCount * traitCount);
  traits.forEach((trait, index) => {
    root[index * traitCount + index] = firstSpread[trait];
  });
  return { mean, root };
}
