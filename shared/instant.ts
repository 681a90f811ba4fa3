import { z } from 'zod';

/** An instant, UTC epoch ms, as far as dates go (ECMA-262, time values). */
export const instant = z.number().int().min(0).max(8.64e15);
