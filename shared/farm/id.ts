import { z } from 'zod';

/** Ids appear in topics, links and labels, so they stay plain. */
export const farmId = z
  .string()
  .regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'lower-case letters, digits and hyphens, at most 40');
