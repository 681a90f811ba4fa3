import { z } from 'zod';
import { personView } from '../alarms.ts';

export const people = z.array(personView);

export const tryChannelRequest = z.strictObject({
  person: z.string().min(1).max(40),
  /** `email` or the id of a webhook. */
  channel: z.string().min(1).max(40),
  who: z.string().min(1).max(80),
});

/** What happened, in order; where it ended well, the last is `accepted`. */
export const deliverySteps = z.array(z.object({ step: z.string(), ok: z.boolean(), text: z.string() }));

export const linkParams = z.strictObject({ token: z.string().min(1).max(2_000) });
export const useLinkRequest = z.strictObject({});
