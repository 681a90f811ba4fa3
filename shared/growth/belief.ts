import { z } from 'zod';
import { inoculationWay } from '../bags.ts';
import { choleskyRoot } from '../stats/symmetric.ts';

/**
 * Traits in which batches differ and that are learned, in the order of every mean and covariance: growth rate,
 * lag, growth points, evenness k, recovery after a shake, points that a shake makes, evenness k after it, share
 * still bare when people call the bag full. Each is the natural log of a factor on what the tables give for the
 * batch.
 */
export const traits = [
  'rate',
  'lag',
  'points',
  'evenness',
  'recovery',
  'shakenPoints',
  'shakenEvenness',
  'leftBare',
] as const;
export type Trait = (typeof traits)[number];
export const traitCount = traits.length;

/** A normal distribution. */
const gaussian = z.strictObject({ mean: z.number(), sd: z.number().positive() });
export type Gaussian = z.infer<typeof gaussian>;

/**
 * What is believed of a batch: the logs of its factors are normal together, and its core lies off what shape and
 * air say by `coreOffsetK`. Plain data: store it, send it to a thread.
 */
export const traitBelief = z
  .strictObject({
    /** Logs of the factors, in the order of `traits`. */
    mean: z.array(z.number().min(-5).max(5)).length(traitCount),
    /** Their covariance, row after row. */
    covariance: z.array(z.number()).length(traitCount * traitCount),
    coreOffsetK: gaussian,
  })
  .refine(({ covariance }) => choleskyRoot(covariance) !== undefined, {
    message: 'covariance must be symmetric and positive definite',
    path: ['covariance'],
  });
export type TraitBelief = z.infer<typeof traitBelief>;

/** A person's eye: how far their judged shares lie off, in units of `lookError`; above 0 is over-guessing. */
export type LookHabit = Gaussian;

/** What is believed before the next look; batches and people that are not named start from what is assumed. */
export const beliefs = z.strictObject({
  strains: z.array(
    z.strictObject({
      strain: z.string(),
      /** Way of inoculating that it holds for; null holds for those that have none of their own. */
      way: inoculationWay.nullable(),
      belief: traitBelief,
      /** Chance that such a batch gets a shake here, 0-1; 0 unless given. */
      shakeChance: z.number().min(0).max(1).optional(),
    }),
  ),
  people: z.array(z.strictObject({ who: z.string(), habit: gaussian })),
});
export type Beliefs = z.infer<typeof beliefs>;

/**
 * Spread (1 sd of the log) of a batch of a strain that this farm has never finished. Assumed. What a shake does is
 * known little: some only turn a bag, some break it up whole, and the trade says no more than 'full within a few
 * days'. So is what people call full, who see no more than the film shows: the last corners take days, and where
 * one says it at 95 % and another at 99 % the dates part by a tenth of the whole time.
 */
const firstSpread: Record<Trait, number> = {
  rate: 0.2,
  lag: 0.4,
  points: 0.25,
  evenness: 0.45,
  recovery: 0.5,
  shakenPoints: 0.6,
  shakenEvenness: 0.6,
  leftBare: 0.7,
};
/** How far a core may lie off what shape and air say [K, 1 sd], apart from the air's own error. Assumed. */
const firstCoreSdK = 0.5;

/** What is believed of a batch of a strain before any of it was ever finished. */
export const firstBelief: TraitBelief = {
  mean: traits.map(() => 0),
  covariance: traits.flatMap((row) => traits.map((column) => (row === column ? firstSpread[row] ** 2 : 0))),
  coreOffsetK: { mean: 0, sd: firstCoreSdK },
};

/** What is believed of a person's eye before enough looks. Assumed: people differ by a third of a look's error. */
export const firstHabit: LookHabit = { mean: 0, sd: 0.35 };

/** What was learned of one batch. Plain data. */
export const batchTraits = z.strictObject({
  batch: z.string(),
  strain: z.string(),
  way: inoculationWay,
  container: z.string(),
  /** It knows nothing later than this, epoch ms. */
  asOf: z.number(),
  /** Share of its time, 0-1, in which some sensor told its air: near 0 it teaches nothing of rates. */
  airTold: z.number(),
  /** What was believed when it was made, and what its looks make of it. */
  prior: traitBelief,
  posterior: traitBelief,
  /** Looks that count, in order, each against the share that all of them together make likely. */
  looks: z.array(
    z.strictObject({
      event: z.string(),
      who: z.string(),
      t: z.number(),
      judged: z.number(),
      share: z.strictObject({ mean: z.number(), sd: z.number() }),
      /** Probability that it was about something else. */
      slip: z.number(),
    }),
  ),
});
export type BatchTraits = z.infer<typeof batchTraits>;
