import { z } from 'zod';

/** IEC 62682 alarm states; the letter is the id used in alarms design, journal and tests. */
export const alarmState = z.enum([
  'normal',
  'unacknowledged',
  'acknowledged',
  'returned-unacknowledged',
  'latched-unacknowledged',
  'latched-acknowledged',
  'shelved',
  'suppressed',
  'out-of-service',
]);
export type AlarmState = z.infer<typeof alarmState>;

/** 1 is the most urgent. */
export const priority = z.union([z.literal(1), z.literal(2), z.literal(3)]);
export type Priority = z.infer<typeof priority>;

/** What a person, or the system by design, may do to an alarm. */
export const alarmAct = z.discriminatedUnion('act', [
  z.strictObject({ act: z.literal('acknowledge') }),
  z.strictObject({ act: z.literal('reset') }),
  /** Timed, or until the condition clears once (`oneShot`); always capped. */
  z.strictObject({
    act: z.literal('shelve'),
    forMinutes: z.number().positive(),
    oneShot: z.boolean().default(false),
    why: z.string().min(1).max(300),
  }),
  z.strictObject({ act: z.literal('unshelve') }),
  z.strictObject({ act: z.literal('take-out-of-service'), why: z.string().min(1).max(300) }),
  z.strictObject({ act: z.literal('return-to-service') }),
]);
export type AlarmAct = z.infer<typeof alarmAct>;

/** An alarm as screens and messages show it. */
export const alarmView = z.object({
  /** Definition and place, for example `high/warm-air.temperature`. */
  id: z.string(),
  state: alarmState,
  priority,
  /** First line: what, and how far: `Warm room too warm: 29.6 °C, limit 28`. */
  title: z.string(),
  /** Second line: what to do, and how long there is. */
  advice: z.string(),
  /** What happens if nobody acts. */
  consequence: z.string(),
  respondWithinMin: z.number(),
  /** Epoch ms at which it entered this state. */
  since: z.number(),
  /** Epoch ms at which the condition began, null when normal. */
  raisedAt: z.number().nullable(),
  channel: z.string().nullable(),
  room: z.string().nullable(),
  shelf: z.string().nullable(),
  value: z.number().nullable(),
  limit: z.number().nullable(),
  /** Needs a person: annunciated and not acknowledged. */
  ringing: z.boolean(),
  conditionHolds: z.boolean(),
  shelvedUntil: z.number().nullable(),
  /** Messages since it was raised, each counted once a person: not out yet, out by any channel, given up. */
  delivery: z.object({ waiting: z.number(), sent: z.number(), failed: z.number() }),
});
export type AlarmView = z.infer<typeof alarmView>;

/** One line of the append-only alarm journal. */
export const alarmJournalEntry = z.object({
  seq: z.number(),
  t: z.number(),
  alarm: z.string(),
  title: z.string(),
  event: z.string(),
  from: alarmState,
  to: alarmState,
  who: z.string(),
  why: z.string().nullable(),
  value: z.number().nullable(),
  limit: z.number().nullable(),
});
export type AlarmJournalEntry = z.infer<typeof alarmJournalEntry>;

/** What lies behind a link of a message. */
export const acknowledgeLinkView = z.object({
  usable: z.boolean(),
  /** Why it cannot be used, or what became of it. */
  why: z.string().nullable(),
  alarm: z.string().nullable(),
  title: z.string().nullable(),
  /** Whose link it is. */
  who: z.string().nullable(),
});
export type AcknowledgeLinkView = z.infer<typeof acknowledgeLinkView>;

/** A person as screens may know them: no address. */
export const personView = z.object({
  id: z.string(),
  name: z.string(),
  /** In the order in which they are tried. */
  channels: z.array(z.object({ channel: z.string(), usable: z.boolean() })),
  onCall: z.boolean(),
  quietUntil: z.number().nullable(),
});
export type PersonView = z.infer<typeof personView>;
