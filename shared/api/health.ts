import { z } from 'zod';
import { partHealth, siteKind } from '../live.ts';

/** `failed` (status 503) as soon as one part has failed; `waiting` while one waits for something outside. */
export const health = z.object({
  status: z.enum(['ok', 'waiting', 'failed']),
  kind: siteKind,
  now: z.number(),
  parts: z.array(partHealth),
});
