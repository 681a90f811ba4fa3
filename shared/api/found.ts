import { z } from 'zod';

/** What arrives on the broker but was not placed, and what arrives and cannot be used. */
export const foundTopics = z.object({
  topics: z.array(
    z.object({
      topic: z.string(),
      lastPayload: z.string(),
      lastAt: z.number(),
      messages: z.number(),
      perMinute: z.number(),
      /** Decoder that would probably read it. */
      guess: z.string(),
    }),
  ),
  rejected: z.array(
    z.object({
      topic: z.string(),
      count: z.number(),
      lastReason: z.string(),
      lastPayload: z.string(),
      lastAt: z.number(),
    }),
  ),
});
