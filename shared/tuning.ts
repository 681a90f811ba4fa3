import { z } from 'zod';
import { priority } from './alarms.ts';

/** Width of the periods in which alarms are counted (ISA-18.2 counts per operator and 10 min). */
export const periodMs = 600_000;

/** How many 10-min periods held so many alarms. */
export const rateDistribution = z.object({
  none: z.number(),
  upTo2: z.number(),
  upTo5: z.number(),
  upTo10: z.number(),
  more: z.number(),
});

/** More alarms than a person can take in: begins above 10 in 10 min, ends below 5. */
export const alarmFlood = z.object({
  from: z.number(),
  to: z.number(),
  alarms: z.number(),
  /** Most in one period. */
  peak: z.number(),
});
export type AlarmFlood = z.infer<typeof alarmFlood>;

/** An alarm by how often it rang. */
export const offender = z.object({
  alarm: z.string(),
  title: z.string(),
  priority: priority.nullable(),
  count: z.number(),
  /** Share of all that rang, 0-1. */
  share: z.number(),
  /** How often it began to chatter: three raises within a minute. */
  chattering: z.number(),
  /** How often it was over by itself within a minute of ringing. */
  fleeting: z.number(),
});
export type Offender = z.infer<typeof offender>;

/** An alarm that stood in view for more than a day. */
export const staleAlarm = z.object({
  alarm: z.string(),
  title: z.string(),
  since: z.number(),
  /** Null while it stands. */
  until: z.number().nullable(),
});

/** How much the alarms of a span ask of people; after ISA-18.2, monitoring and assessment. */
export const nuisance = z.object({
  from: z.number(),
  to: z.number(),
  /** How often something rang. */
  alarms: z.number(),
  perDay: z.number(),
  periods: rateDistribution,
  /** Periods with any alarm, oldest first: start and count. */
  counts: z.array(z.tuple([z.number(), z.number()])),
  floods: z.array(alarmFlood),
  /** Share of the time spent in floods, 0-1. */
  floodShare: z.number(),
  byPriority: z.object({ 1: z.number(), 2: z.number(), 3: z.number(), unknown: z.number() }),
  /** Those that rang most, at most ten. */
  offenders: z.array(offender),
  stale: z.array(staleAlarm),
});
export type Nuisance = z.infer<typeof nuisance>;
