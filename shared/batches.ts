import { z } from 'zod';
import { generation, inoculation } from './bags.ts';

/** A group of bags of one batch that share shelf and history, so one forecast serves them all. */
export const cohort = z.object({
  /** `<batch>/<lowest bag number>`. */
  id: z.string(),
  batch: z.string(),
  bags: z.array(z.number()),
  shelf: z.string().nullable(),
  /** Where these bags stood: shelf id from an instant on; null = not placed. */
  stays: z.array(z.object({ from: z.number(), shelf: z.string().nullable() })),
  checks: z.array(z.object({ t: z.number(), share: z.number(), who: z.string(), event: z.string() })),
  shakes: z.array(z.number()),
  /** How and when these bags left; absent while they stand. */
  left: z.object({ t: z.number(), how: z.enum(['used', 'discarded']), reason: z.string() }).optional(),
});
export type Cohort = z.infer<typeof cohort>;

/** A batch as derived from its events. */
export const batchState = z.object({
  id: z.string(),
  strain: z.string(),
  container: z.string(),
  generation,
  inoculation,
  madeAt: z.number(),
  madeBy: z.string(),
  count: z.number(),
  parent: z.object({ batch: z.string(), bag: z.number().optional() }).nullable(),
  /** Bags still standing, as cohorts; empty once all are used or discarded. */
  cohorts: z.array(cohort),
  used: z.array(z.object({ bag: z.number(), t: z.number() })),
  discarded: z.array(z.object({ bag: z.number(), t: z.number(), reason: z.string() })),
  /** When the last bag left, or null while any stands. */
  endedAt: z.number().nullable(),
});
export type BatchState = z.infer<typeof batchState>;
