import { z } from 'zod';
import { alarmJournalEntry, alarmView } from './alarms.ts';
import { band, cohortForecast, instantInterval } from './forecasts.ts';

/** Where a value goes if it goes on as it does, and when it passes the limit. */
export const alarmPrediction = z.object({
  channel: z.string(),
  limit: z.number(),
  /** When it is expected to pass the limit. */
  crosses: instantInterval,
  /** The expected course with its 80 % range, from now on. */
  points: z.array(z.object({ t: z.number(), value: band })),
});
export type AlarmPrediction = z.infer<typeof alarmPrediction>;

/** One message about an alarm to one person by one channel, and what became of it. */
export const alarmDelivery = z.object({
  /** Journal line that it tells of. */
  seq: z.number(),
  /** Why it was sent: `raised`, `re-alarm`, `returned`, ... */
  reason: z.string(),
  recipient: z.string(),
  /** `email` or the id of a webhook. */
  channel: z.string(),
  /** `held` until quiet hours end; `replaced` when another channel reached the person first. */
  state: z.enum(['waiting', 'held', 'gathered', 'sent', 'replaced', 'failed', 'withheld']),
  attempts: z.number(),
  queuedAt: z.number(),
  /** When it is tried or told next; null when it is done. */
  nextAt: z.number().nullable(),
  doneAt: z.number().nullable(),
  lastError: z.string().nullable(),
});
export type AlarmDelivery = z.infer<typeof alarmDelivery>;

/** Where an alarm that nobody has acknowledged goes next. */
export const escalation = z.object({
  /** Step of the route that was told last, from 1, of how many. */
  step: z.number(),
  steps: z.number(),
  /** When the next are told; null when everybody was. */
  dueAt: z.number().nullable(),
  /** Ids of people who are told then. */
  next: z.array(z.string()),
});
export type Escalation = z.infer<typeof escalation>;

/** Bags that breathe the air an alarm is about. */
export const bagsAtStake = cohortForecast
  .pick({ cohort: true, batch: true, bags: true, shelf: true, coreTempC: true, heat: true })
  .strict();
export type BagsAtStake = z.infer<typeof bagsAtStake>;

const related = z.object({ alarm: z.string(), title: z.string() });

/** Everything about one alarm, for its own page. */
export const alarmDetail = z.object({
  alarm: alarmView,
  /** What is wrong, before any value: `Warm room too warm: limit 28 °C`. */
  name: z.string(),
  unit: z.string(),
  rule: z.object({
    /** The limit that holds now, and the side of it that is wrong; null where there is none. */
    limit: z.number().nullable(),
    wrong: z.enum(['above', 'below']).nullable(),
    deadband: z.number().nullable(),
    onDelayS: z.number().nullable(),
    offDelayS: z.number().nullable(),
    latching: z.boolean(),
    /** An acknowledged alarm whose condition holds rings again after this long; null: never. */
    reAlarmMin: z.number().nullable(),
    /** The longest that it may be shelved. */
    shelveCapMin: z.number(),
    /** Which route its messages take; null: the default one. */
    route: z.string().nullable(),
  }),
  /** Alarms that stand for it: while they hold, it is held back. */
  heldBackBy: z.array(related),
  /** Alarms that it stands for now. */
  holdsBack: z.array(related),
  /** Curves that show it, the worst first, and the span worth drawing; null where nothing was measured. */
  curve: z.object({ channels: z.array(z.string()), from: z.number(), to: z.number() }).nullable(),
  /**
   * The cohort whose computed core temperature, or heat so far as a share of what it stands, shows it, and the span
   * worth drawing; null where something else does.
   */
  course: z
    .object({ of: z.enum(['core', 'heat']), cohort: z.string(), from: z.number(), to: z.number() })
    .nullable(),
  prediction: alarmPrediction.nullable(),
  /** The warmest first. */
  bags: z.array(bagsAtStake),
  /** Newest first. */
  journal: z.array(alarmJournalEntry),
  /** Newest first. */
  deliveries: z.array(alarmDelivery),
  /** Null once somebody has acknowledged it, or where nobody is told. */
  escalation: escalation.nullable(),
});
export type AlarmDetail = z.infer<typeof alarmDetail>;
