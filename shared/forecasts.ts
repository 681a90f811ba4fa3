import { z } from 'zod';

/** 10, 50 and 90 % points of an instant, epoch ms. */
export const instantInterval = z.object({ earliest: z.number(), likely: z.number(), latest: z.number() });
export type InstantInterval = z.infer<typeof instantInterval>;

/** 10, 50 and 90 % points of a share or another number. */
export const band = z.object({ low: z.number(), likely: z.number(), high: z.number() });
export type Band = z.infer<typeof band>;

/** How a series of air was obtained; anything but `measured` widens the forecast. */
export const provenance = z.enum(['measured', 'neighbour', 'filled']);
export type Provenance = z.infer<typeof provenance>;

/** Marks that a bag may carry on the drawn rack. */
export const bagMark = z.enum(['shake', 'ready', 'too-old', 'ran-hot', 'look']);
export type BagMark = z.infer<typeof bagMark>;

/** The forecast of one cohort: bags of one batch that share shelf and history. */
export const cohortForecast = z.object({
  /** `<batch>/<lowest bag number>`. */
  cohort: z.string(),
  batch: z.string(),
  bags: z.array(z.number()),
  /** Shelf id, or null while the bags are not placed. */
  shelf: z.string().nullable(),
  /** Everything below is as known at this instant, epoch ms. */
  asOf: z.number(),
  /** Colonized share 0-1. */
  share: band,
  coreTempC: z.number(),
  /** Days at the optimum, and degree-days above the species' Tmin, since inoculation. */
  thermalDays: z.number(),
  degreeDays: z.number(),
  heat: z.object({
    /** Equivalent hours at the species' heat limit. */
    equivalentHours: z.number(),
    hoursAboveWarm: z.number(),
    /** Of the exposure, what has not faded yet: within some days of cooling, all does. Equivalent hours. */
    recentHours: z.number(),
    /** Equivalent hours that an hour at the core's temperature of now adds; 0 up to the warm limit. */
    perHour: z.number(),
    /** Equivalent hours that the bags poured from had; absent without any. */
    inheritedHours: z.number().optional(),
  }),
  shake: z.object({
    state: z.enum(['early', 'open', 'best', 'closing', 'closed', 'done', 'never']),
    /** When the window opens, is best, and closes; null when there is none ahead. */
    opens: instantInterval.nullable(),
    best: instantInterval.nullable(),
    closes: instantInterval.nullable(),
    /** Days by which a shake now (or at the best time) brings ready forward. */
    gainDays: z.number().nullable(),
  }),
  ready: z.object({
    state: z.enum(['growing', 'ready', 'stalled']),
    at: instantInterval.nullable(),
    /** A person saw it full. */
    seen: z.boolean(),
  }),
  useBy: z.object({ at: z.number().nullable(), state: z.enum(['good', 'soon', 'past']) }),
  air: provenance,
  marks: z.array(bagMark),
  /** Which inputs are unsupported by a publication or by this farm's own checks, in words. */
  assumed: z.array(z.string()),
  /** What moved the forecast, or what does not fit, in words. */
  notes: z.array(z.string()),
});
export type CohortForecast = z.infer<typeof cohortForecast>;

/**
 * Air at a shelf as forecasts take it, evenly spaced, with how it was obtained: of several steps in a point
 * the least sure. What lies after `now` is expected, not known.
 */
export const shelfAirSeries = z.object({
  shelf: z.string(),
  /** Spacing of the points. */
  stepMs: z.number(),
  now: z.number(),
  points: z.array(
    z.object({
      /** Middle of the point's span. */
      t: z.number(),
      tempC: z.number(),
      /** Standard deviation of the true air about it [K]. */
      sdK: z.number(),
      source: provenance,
    }),
  ),
});
export type ShelfAirSeries = z.infer<typeof shelfAirSeries>;

/** Growth curve of a cohort, past and ahead. */
export const cohortCurve = z.object({
  cohort: z.string(),
  now: z.number(),
  points: z.array(
    z.object({
      t: z.number(),
      share: band,
      coreTempC: z.number(),
      airTempC: z.number().nullable(),
      air: provenance,
      /** Exposure to heat that has not faded by then, as `heat.recentHours`; null ahead. */
      recentHours: z.number().nullable(),
    }),
  ),
});
export type CohortCurve = z.infer<typeof cohortCurve>;
