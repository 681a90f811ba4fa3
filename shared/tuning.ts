import { z } from 'zod';
import { priority } from './alarms.ts';
import { timedLevels } from './farm/limits-schema.ts';

/** Width of the periods in which alarms are counted (ISA-18.2 counts per operator and 10 min). */
export const periodMs = 600_000;

/** How many 10-min periods held so many alarms. */
const rateDistribution = z.object({
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
const staleAlarm = z.object({
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

/** What limits may be set on: quantities that sensors measure and what is computed from them. */
const measure = z.enum([
  'temperature',
  'humidity',
  'dew-point',
  'vpd',
  'co2',
  'pressure',
  'probe-temperature',
  'core',
]);

const level = z.number().min(-1e6).max(1e6).nullable();
const delayS = z.number().min(0).max(86_400).nullable();

/**
 * New values of one limit band, in SI as the farm file has them; null takes a value out, so that the default
 * holds again, and what is left out stays.
 */
export const limitChange = z
  .strictObject({
    lowLow: level,
    low: level,
    high: level,
    highHigh: level,
    risePerH: z.number().positive().max(1e6).nullable(),
    fallPerH: z.number().positive().max(1e6).nullable(),
    /** All times of day with other levels, the first that fits counting; null for none. */
    during: z.array(timedLevels).min(1).max(24).nullable(),
    deadband: z.number().positive().max(1e6).nullable(),
    onDelayS: delayS,
    offDelayS: delayS,
    latching: z.boolean().nullable(),
    reAlarmMin: z.union([z.literal(false), z.number().positive().max(10_080)]).nullable(),
    shelveCapMin: z.number().positive().max(10_080).nullable(),
    priority: priority.nullable(),
    advice: z.string().max(300).nullable(),
    consequence: z.string().max(300).nullable(),
    respondWithinMin: z.number().positive().max(10_080).nullable(),
  })
  .partial();
export type LimitChange = z.infer<typeof limitChange>;

/** Which band of limits: that of a room or a shelf. */
const bandOf = { at: z.string().min(1).max(60), measure };

export const limitEdit = z.strictObject({ ...bandOf, set: limitChange });
export type LimitEdit = z.infer<typeof limitEdit>;

export const saveLimits = limitEdit.extend({
  /** `version` of the band as it was read: when it has changed since, nothing is written. */
  version: z.string().min(1).max(64),
  who: z.string().min(1).max(80),
});
export type SaveLimits = z.infer<typeof saveLimits>;

/** The limits of one quantity in one place, with the alarms they make. */
export const limitedBand = z.object({
  at: z.string(),
  measure,
  /** `Warm room`, `Shelf A3`. */
  name: z.string(),
  unit: z.string(),
  room: z.string(),
  /** The shelf when it has limits of its own, or may get some. */
  shelf: z.string().nullable(),
  /** A shelf that goes by its room's limits, and has no alarm of its own yet. */
  inherited: z.boolean(),
  /** False for what is measured and has no limit yet. */
  limited: z.boolean(),
  /** Channels whose curves show it. */
  channels: z.array(z.string()),
  /** What the farm file says here. */
  written: limitChange,
  /** What holds, defaults included; null: no such limit. */
  holds: z.object({
    lowLow: z.number().nullable(),
    low: z.number().nullable(),
    high: z.number().nullable(),
    highHigh: z.number().nullable(),
    risePerH: z.number().nullable(),
    fallPerH: z.number().nullable(),
    deadband: z.number(),
    onDelayS: z.number(),
    offDelayS: z.number(),
    /** Minutes; false: never; null: as each alarm's urgency asks. */
    reAlarmMin: z.union([z.literal(false), z.number()]).nullable(),
    shelveCapMin: z.number(),
    /** Other levels at times of day; those of its room where a shelf says nothing. */
    during: z.array(timedLevels),
  }),
  /** Changes whenever what the file says here does. */
  version: z.string(),
  alarms: z.array(
    z.object({
      id: z.string(),
      name: z.string(),
      priority,
      advice: z.string(),
      consequence: z.string(),
      respondWithinMin: z.number(),
      latching: z.boolean(),
    }),
  ),
});
export type LimitedBand = z.infer<typeof limitedBand>;

/** Limits over recorded history: as they are, and as they would be. */
export const backTestQuestion = limitEdit.extend({
  /** Inclusive; epoch ms. */
  from: z.number().int().min(0).max(8.64e15),
  /** Exclusive. */
  to: z.number().int().min(0).max(8.64e15),
});
export type BackTestQuestion = z.infer<typeof backTestQuestion>;

/** One alarm from its first ring until its condition was over. */
export const alarmEpisode = z.object({
  alarm: z.string(),
  title: z.string(),
  priority,
  /** When it rang, delays served. */
  raisedAt: z.number(),
  /** When its condition ended; null: it holds at the end of the span. */
  clearedAt: z.number().nullable(),
  /** Furthest value meanwhile. */
  peak: z.number().nullable(),
  /** Not shown at the time: another alarm stood for it. */
  suppressed: z.boolean(),
});
export type AlarmEpisode = z.infer<typeof alarmEpisode>;

export const backTestRun = z.object({
  episodes: z.array(alarmEpisode),
  perWeek: z.number(),
  /** How many were over within a minute, before anybody could act. */
  fleeting: z.number(),
  chattering: z.number(),
  floods: z.number(),
  /** Time for which any of them held, ms. */
  heldMs: z.number(),
  /** Worst place's excess beyond today's limits while no alarm held: the limit's unit times hours. */
  unseen: z.number(),
});
export type BackTestRun = z.infer<typeof backTestRun>;

export const backTest = z.object({
  /** The span that was replayed: raw readings are not kept for ever. */
  from: z.number(),
  to: z.number(),
  readings: z.number(),
  unit: z.string(),
  /** Channel that went furthest, for the picture. */
  channel: z.string().nullable(),
  now: backTestRun,
  changed: backTestRun,
  /** Alarms of both runs that tell of the same event, and those that only one run has. */
  pairs: z.array(
    z.object({
      now: alarmEpisode.nullable(),
      changed: alarmEpisode.nullable(),
      /** Minutes by which the changed limits ring earlier; negative: later. Null where one is missing. */
      leadMin: z.number().nullable(),
    }),
  ),
});
export type BackTest = z.infer<typeof backTest>;
