import { z } from 'zod';
import { generation, inoculationWay } from './bags.ts';
import { band, instantInterval } from './forecasts.ts';
import { batchTraits } from './growth/belief.ts';

/** A forecast of some bags as it was given, kept until they are ready so that it can be scored. */
export const keptForecast = z.object({
  batch: z.string(),
  bags: z.array(z.number()),
  /** It knew nothing later than this, epoch ms. */
  asOf: z.number(),
  /** Null when it saw no end. */
  ready: instantInterval.nullable(),
  share: band,
  /** What the plain degree-day rule goes by. */
  degreeDays: z.number(),
  coreTempC: z.number(),
});
export type KeptForecast = z.infer<typeof keptForecast>;

/** Instants from which a finished batch's forecast is scored. */
export const occasions = ['inoculation', 'first-check', 'shaken', 'three-days-before'] as const;
export const occasion = z.enum(occasions);
export type Occasion = z.infer<typeof occasion>;

/**
 * What became of a batch. `seen`: somebody saw these bags full at `to` and not yet at `from` (the look before,
 * or the making). `censored`: nobody ever saw it full, so it took longer than up to `from`, when it was last
 * looked at.
 */
export const outcome = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('seen'), bags: z.array(z.number()), from: z.number(), to: z.number() }),
  z.object({ kind: z.literal('censored'), from: z.number(), reason: z.string() }),
]);
export type Outcome = z.infer<typeof outcome>;

/** A batch that was seen full or whose last bag left, and what there is to learn from it. */
export const finishedBatch = z.object({
  batch: z.string(),
  strain: z.string(),
  species: z.string(),
  way: inoculationWay,
  generation,
  container: z.string(),
  madeAt: z.number(),
  shakenAt: z.number().nullable(),
  /** From this instant on it counts for other batches' beliefs and for the rules it is compared with. */
  knownAt: z.number(),
  outcome,
  /** Null when its traits could not be worked out; `why` says why not. */
  traits: batchTraits.nullable(),
  why: z.string().nullable(),
  forecasts: z.partialRecord(occasion, keptForecast),
  /** Degree-days that had gathered half-way between `from` and `to`; null unless it was seen full. */
  degreeDays: z.number().nullable(),
});
export type FinishedBatch = z.infer<typeof finishedBatch>;
