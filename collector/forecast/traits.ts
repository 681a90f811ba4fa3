import type { Inoculation } from '../../shared/bags.ts';
import type { Container, Species, Strain } from '../../shared/farm/schema.ts';
import type { Gaussian, TraitBelief } from '../../shared/growth/belief.ts';
import { leftBareWhenFull } from '../../shared/growth/overlap.ts';
import {
  evennessAfterShake,
  evennessOf,
  headStartDays,
  lagPartOf,
  pointsPerCm3,
} from '../../shared/growth/points.ts';
import { shakeRecoveryDays } from '../../shared/growth/shake.ts';
import { choleskyRoot } from '../../shared/stats/symmetric.ts';

/**
 * What is believed of a batch before anyone looked: logs of the traits themselves are normal.
 * `root` is the lower Cholesky root of their covariance, row after row.
 */
export interface TraitPrior {
  belief: TraitBelief;
  /** Logs that the tables give; the belief's factors count from them. */
  table: Float64Array;
  mean: Float64Array;
  root: Float64Array;
  coreOffsetK: Gaussian;
  /** Chance that a batch like this gets a shake. */
  shakeChance: number;
}

/**
 * Logs of the traits that the tables give for a batch: rate [mm/d], lag [d], points [1/cm³], evenness, recovery [d], factor,
 * evenness after a shake, share left bare when full.
 */
export function tableMeans(
  species: Species,
  strain: Strain,
  container: Container,
  how: Inoculation,
): Float64Array {
  const rate = species.rateMmPerDay * strain.rateFactor;
  const lag = lagPartOf[how.way] * (strain.lagDays ?? species.lagDays) - headStartDays(how, rate);
  return Float64Array.of(
    Math.log(rate),
    Math.log(Math.max(0.2, lag)),
    Math.log(pointsPerCm3(how, container.volumeL)),
    Math.log(evennessOf[how.way]),
    Math.log(shakeRecoveryDays),
    0,
    Math.log(evennessAfterShake),
    Math.log(leftBareWhenFull),
  );
}

/** @throws Error for a covariance that is none; `traitBelief` lets none such through. */
export function priorOf(table: Float64Array, belief: TraitBelief, shakeChance = 0): TraitPrior {
  const root = choleskyRoot(belief.covariance);
  if (root === undefined) throw new Error('the covariance of a belief is not positive definite');
  const mean = table.map((log, index) => log + belief.mean[index]!);
  return { belief, table, mean, root, coreOffsetK: belief.coreOffsetK, shakeChance };
}
