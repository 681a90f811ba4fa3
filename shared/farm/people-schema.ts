import { z } from 'zod';
import { farmId } from './id.ts';
import { timeOfDay, weekday, weeklySpan } from './limits-schema.ts';

const spans = z.array(weeklySpan).min(1).max(20);

export const person = z.strictObject({
  id: farmId,
  name: z.string().min(1).max(60),
  email: z.email().optional(),
  /** Ways to reach this person, the first tried first: `email` or the id of a webhook. Left out: email. */
  channels: z.array(farmId).min(1).max(6).optional(),
  /** When this person answers for alarms; left out: always. */
  onCall: spans.optional(),
  /** When messages of low priority wait, to be told together afterwards. */
  quiet: spans.optional(),
});
export type Person = z.infer<typeof person>;

/** An address that takes messages as signed JSON (Standard Webhooks); the secret is named, never written. */
export const webhook = z.strictObject({
  id: farmId,
  url: z.string().regex(/^https?:\/\/[^/]+/, 'https://host/path'),
  secretEnv: z.string().optional(),
  secretFile: z.string().optional(),
});
export type WebhookSettings = z.infer<typeof webhook>;

/** Who is told of an alarm, step by step while nobody acknowledges it. */
export const route = z.strictObject({
  /** `default` is for all alarms that name no other. */
  id: farmId,
  steps: z
    .array(
      z.strictObject({
        tell: z.array(farmId).min(1),
        /** Minutes until the next step is told; left out: the time to respond of the alarm. */
        waitMin: z.number().positive().max(10_080).optional(),
      }),
    )
    .min(1)
    .max(10),
});

/** Where states of alarms are published, retained; false: nowhere. */
export const announce = z.union([
  z.literal(false),
  z.strictObject({
    /** Alarms go to `<topic>/alarms/...`, the beacon to `<topic>/beacon`. */
    topic: z.string().regex(/^[^+#$\s/][^+#]{0,150}[^+#/]$/, 'a topic without + and #, such as farm/alarms'),
  }),
]);

/** What to do today, by message each morning. */
export const digest = z.strictObject({
  at: timeOfDay,
  to: z.array(farmId).min(1),
  days: z.array(weekday).min(1).optional(),
});
export type DigestSettings = z.infer<typeof digest>;

/** A sign of life to somebody outside, who raises the alarm when it stays away. */
export const heartbeat = z.strictObject({
  url: z
    .string()
    .regex(/^https?:\/\/[^/]+/, 'https://host/path')
    .optional(),
  topic: z.string().min(1).max(200).optional(),
  everyMin: z.number().min(1).max(1440).default(5),
});
