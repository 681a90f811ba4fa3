import { z } from 'zod';
import { bagEvent } from '../bags.ts';
import { batchState } from '../batches.ts';
import { queryNumber, siteName } from './sites.ts';

export const batchParams = z.strictObject({ site: siteName, id: z.string().min(1).max(40) });

/** A cohort is named by its batch and the lowest number of its bags. */
export const cohortParams = z.strictObject({
  site: siteName,
  batch: z.string().min(1).max(40),
  bag: queryNumber(z.number().int().min(1).max(999)),
});

/** A batch as its events make it, and those events, oldest first. */
export const batchDetail = z.object({ state: batchState, events: z.array(bagEvent) });

/** The event is on disk. The same id sent twice is stored once and answered the same. */
export const recorded = z.object({ id: z.string() });
