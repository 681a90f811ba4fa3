import { z } from 'zod';
import { instant } from '../instant.ts';
import { queryNumber, siteName } from './sites.ts';

export const shelfParams = z.strictObject({ site: siteName, shelf: z.string().min(1).max(16) });

/** Asks for the air at a shelf from `from` (inclusive) to `to` (exclusive, may lie ahead). */
export const shelfAirQuery = z
  .strictObject({
    from: queryNumber(instant),
    to: queryNumber(instant),
    maxPoints: queryNumber(z.number().int().min(2).max(2_000).default(300)),
  })
  .refine(({ from, to }) => from < to, { path: ['to'], message: 'an instant after from' });
