import { z } from 'zod';
import { band, instantInterval } from '../forecasts.ts';
import { responseSpec } from '../growth/response-spec.ts';
import { finishedBatch, occasion, outcome } from '../learning.ts';
import { siteName } from './sites.ts';

export const strainParams = z.strictObject({ site: siteName, id: z.string().min(1).max(40) });

/** Who says when a batch is ready: the forecast, and two rules that know species and way and learn from the same past. */
export const contestant = z.enum(['forecast', 'fixed-days', 'degree-days']);
export type Contestant = z.infer<typeof contestant>;

/** How well one contestant told when batches were ready; errors in days, above 0 is late. */
export const scoreLine = z.object({
  occasion,
  contestant,
  count: z.number(),
  crpsDays: z.number(),
  biasDays: z.number(),
  maeDays: z.number(),
  /** Of the 80 % interval: how often it held, and the central 95 % of what an honest one would show. */
  coverage: z.object({
    share: z.number(),
    inside: z.number(),
    band: z.object({ low: z.number(), high: z.number() }),
    holds: z.boolean(),
  }),
});
export type ScoreLine = z.infer<typeof scoreLine>;

/** A trait as the tables have it, as assumed before any batch, and as learned. */
export const learnedTrait = z.object({
  trait: z.string(),
  /** In words and with its unit: `growth rate, mm a day at the optimum`. */
  text: z.string(),
  /** Of the next batch: 10, 50 and 90 % points, before anything was learned and now. */
  assumed: band,
  learned: band,
  /** Share of the assumed spread (of the log) that is gone: 0 nothing learned, near 1 all but certain. */
  sharper: z.number(),
  support: z.string(),
});
export type LearnedTrait = z.infer<typeof learnedTrait>;

const finishedLine = finishedBatch
  .pick({ batch: true, way: true, generation: true, container: true, madeAt: true, knownAt: true })
  .extend({
    outcome,
    /** Half-way between the two looks; null when nobody saw it full. */
    readyAt: z.number().nullable(),
    forecasts: z.array(
      z.object({
        occasion,
        asOf: z.number(),
        at: instantInterval.nullable(),
        /** Days; above 0 the forecast was late. */
        errorDays: z.number().nullable(),
        inside: z.boolean().nullable(),
      }),
    ),
  });

/** All that a site knows of a strain and of how well it was forecast. */
export const strainPage = z.object({
  strain: z.string(),
  name: z.string(),
  species: z.object({ id: z.string(), name: z.string(), latin: z.string() }),
  response: z.object({
    spec: responseSpec,
    /** Rate as a share of the one at the optimum. */
    points: z.array(z.object({ tempC: z.number(), share: z.number() })),
    warmLimitC: z.number(),
    heatLimitC: z.number(),
  }),
  /** What each number of the species rests on; 'assumed' where nothing supports it. */
  support: z.array(
    z.object({ key: z.string(), text: z.string(), value: z.number(), unit: z.string(), support: z.string() }),
  ),
  /** By way of inoculating; the way that its batches mostly have comes first. */
  traits: z.array(z.object({ way: z.string(), batches: z.number(), traits: z.array(learnedTrait) })),
  counts: z.object({ seen: z.number(), censored: z.number() }),
  scores: z.array(scoreLine),
  /** Scores of all strains together, to compare with. */
  siteScores: z.array(scoreLine),
  /** Newest first. */
  finished: z.array(finishedLine),
});
export type StrainPage = z.infer<typeof strainPage>;
