import { z } from 'zod';
import { instant } from '../instant.ts';
import { queryNumber } from './sites.ts';

/** Asks for one channel from `from` (inclusive) to `to` (exclusive) in at most about `maxPoints` points. */
export const seriesQuery = z
  .strictObject({
    channel: z.string().min(1).max(120),
    from: queryNumber(instant),
    to: queryNumber(instant),
    maxPoints: queryNumber(z.number().int().min(2).max(5_000).default(600)),
  })
  .refine(({ from, to }) => from < to, { path: ['to'], message: 'an instant after from' });
