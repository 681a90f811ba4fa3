import type { LearnedTrait, StrainPage } from '../../shared/api/strains.ts';
import { type InoculationWay, inoculationWay } from '../../shared/bags.ts';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Species, Strain } from '../../shared/farm/schema.ts';
import type { Band } from '../../shared/forecasts.ts';
import { firstBelief, type Trait, type TraitBelief, traits } from '../../shared/growth/belief.ts';
import { evennessOf, lagPartOf } from '../../shared/growth/points.ts';
import { createResponse, responseSpecOf } from '../../shared/growth/response.ts';
import { shakeRecoveryDays } from '../../shared/growth/shake.ts';
import { type FinishedBatch, occasions } from '../../shared/learning.ts';
import { dayMs } from '../../shared/time.ts';
import { learnedFrom } from './beliefs-of.ts';
import { observedReady } from './outcome.ts';
import { sayingsOf, scoresOf } from './score.ts';

const z90 = 1.2815515655446004;

const words: Record<Trait, string> = {
  rate: 'growth rate, mm a day at the optimum',
  lag: 'lag, days at the optimum',
  points: 'growth points, times what the way of inoculating usually gives',
  evenness: 'evenness of the points (higher is more even)',
  recovery: 'recovery after a shake, days at the optimum',
  shakenPoints: 'growth points that a shake makes, times the usual',
  shakenEvenness: 'evenness of those points, times the usual',
  leftBare: 'share still bare when it is called full, times the usual',
};

/** Numbers of a species with their units, for showing what each rests on. */
const numbers: readonly [key: keyof Species, text: string, unit: string][] = [
  ['tMinC', 'lowest growth temperature', '°C'],
  ['tOptC', 'best growth temperature', '°C'],
  ['tMaxC', 'highest growth temperature', '°C'],
  ['rateMmPerDay', 'growth rate on grain at the best temperature', 'mm/d'],
  ['lagDays', 'lag before growth shows', 'd'],
  ['warmLimitC', 'warm limit of the core', '°C'],
  ['heatLimitC', 'heat limit of the core', '°C'],
  ['useWithinDays', 'days within which it should be used', 'd'],
];

/** What the tables give for a trait; a factor of 1 where it hangs on the container. */
function tableOf(trait: Trait, strain: Strain, species: Species, way: InoculationWay): number {
  switch (trait) {
    case 'rate':
      return species.rateMmPerDay * strain.rateFactor;
    case 'lag':
      return lagPartOf[way] * (strain.lagDays ?? species.lagDays);
    case 'evenness':
      return evennessOf[way];
    case 'recovery':
      return shakeRecoveryDays;
    default:
      return 1;
  }
}

const spread = (belief: TraitBelief, index: number): number =>
  Math.sqrt(belief.covariance[index * traits.length + index]!);

function bandOf(table: number, belief: TraitBelief, index: number): Band {
  const mean = belief.mean[index]!;
  const reach = z90 * spread(belief, index);
  return {
    low: table * Math.exp(mean - reach),
    likely: table * Math.exp(mean),
    high: table * Math.exp(mean + reach),
  };
}

const traitLines = (
  strain: Strain,
  species: Species,
  way: InoculationWay,
  belief: TraitBelief,
): LearnedTrait[] =>
  traits.map((trait, index) => {
    const table = tableOf(trait, strain, species, way);
    const supported =
      trait === 'rate' ? species.support.rateMmPerDay : trait === 'lag' ? species.support.lagDays : undefined;
    return {
      trait,
      text: words[trait],
      assumed: bandOf(table, firstBelief, index),
      learned: bandOf(table, belief, index),
      sharper: Math.max(0, 1 - spread(belief, index) / spread(firstBelief, index)),
      support: supported ?? 'assumed',
    };
  });

function finishedLine(batch: FinishedBatch): StrainPage['finished'][number] {
  const { outcome, forecasts } = batch;
  const readyAt = outcome.kind === 'seen' ? observedReady(outcome) : null;
  return {
    batch: batch.batch,
    way: batch.way,
    generation: batch.generation,
    container: batch.container,
    madeAt: batch.madeAt,
    knownAt: batch.knownAt,
    outcome,
    readyAt,
    forecasts: occasions.flatMap((occasion) => {
      const forecast = forecasts[occasion];
      if (forecast === undefined) return [];
      const at = forecast.ready;
      const scored = at !== null && readyAt !== null;
      return [
        {
          occasion,
          asOf: forecast.asOf,
          at,
          errorDays: scored ? (at.likely - readyAt) / dayMs : null,
          inside: scored ? readyAt >= at.earliest && readyAt <= at.latest : null,
        },
      ];
    }),
  };
}

/** Lowest growth temperature of a species, from which degree-days count [°C]. */
export const baseOf =
  (farm: Farm) =>
  (species: string): number =>
    farm.species.get(species)?.tMinC ?? 0;

/**
 * All that is known of a strain.
 *
 * @param finished batches of every strain: they teach one another, and the site's scores stand beside the strain's
 * @throws AppError 'not-found' for a strain that the farm file has not.
 */
export function strainPageOf(farm: Farm, finished: readonly FinishedBatch[], id: string): StrainPage {
  const strain = farm.strains.get(id);
  const species = strain && farm.species.get(strain.species);
  if (strain === undefined || species === undefined)
    throw new AppError(
      'not-found',
      `There is no strain ${id}; known are ${[...farm.strains.keys()].join(', ')}.`,
    );

  const own = finished.filter((batch) => batch.strain === id);
  const learned = learnedFrom(finished);
  const ofWay = (way: InoculationWay) => own.filter((batch) => batch.way === way).length;
  const ways = [...inoculationWay.options].sort((a, b) => ofWay(b) - ofWay(a));
  const spec = responseSpecOf(species, strain);
  const response = createResponse(spec);
  const steps = Math.round((species.tMaxC - species.tMinC + 6) * 2);
  const sayings = sayingsOf(finished, baseOf(farm));

  return {
    strain: id,
    name: strain.name,
    species: { id: species.id, name: species.name, latin: species.latin },
    response: {
      spec,
      points: Array.from({ length: steps + 1 }, (_, step) => {
        const tempC = species.tMinC - 3 + step / 2;
        return { tempC, share: response(tempC) };
      }),
      warmLimitC: species.warmLimitC,
      heatLimitC: species.heatLimitC,
    },
    support: numbers.map(([key, text, unit]) => ({
      key,
      text,
      unit,
      value: species[key] as number,
      support: species.support[key] ?? 'assumed',
    })),
    traits: ways.map((way) => ({
      way,
      batches: ofWay(way),
      traits: traitLines(strain, species, way, learned.beliefOf({ strain: id, species: species.id, way })),
    })),
    counts: {
      seen: own.filter(({ outcome }) => outcome.kind === 'seen').length,
      censored: own.filter(({ outcome }) => outcome.kind === 'censored').length,
    },
    scores: scoresOf(sayings.filter((one) => one.strain === id)),
    siteScores: scoresOf(sayings),
    finished: own.map(finishedLine).reverse(),
  };
}
