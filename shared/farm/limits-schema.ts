import { z } from 'zod';

export const weekday = z.enum(['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun']);
export type Weekday = z.infer<typeof weekday>;

/** Local time of day; 24:00 is the end of the day. */
export const timeOfDay = z
  .string()
  .regex(/^(([01]\d|2[0-3]):[0-5]\d|24:00)$/, 'a time of day in quotes, such as "06:30" or "24:00"');

/** A weekly span in the site's zone; one whose `to` is not after `from` runs past midnight. */
const span = {
  /** Days on which it begins; left out: every day. */
  days: z.array(weekday).min(1).optional(),
  from: timeOfDay,
  to: timeOfDay,
};
export const weeklySpan = z.strictObject(span);
export type WeeklySpan = z.infer<typeof weeklySpan>;

const levels = {
  lowLow: z.number().optional(),
  low: z.number().optional(),
  high: z.number().optional(),
  highHigh: z.number().optional(),
};

/** Other levels within a weekly span. */
export const timedLevels = z.strictObject({ ...span, ...levels });
export type TimedLevels = z.infer<typeof timedLevels>;

/** Limits of one quantity with the behaviour of their alarms. What is left out takes the condition's default. */
export const limitBand = z.strictObject({
  ...levels,
  /** Fastest rise and fall that is still ordinary, in the quantity's unit per hour, over about 15 min. */
  risePerH: z.number().positive().optional(),
  fallPerH: z.number().positive().optional(),
  /** Whether to warn before a limit is reached; temperature only, and on unless set to false. */
  predict: z.boolean().optional(),
  /** Other levels at certain times: a room that is allowed warmer while hot loads are unloaded. */
  during: z.array(timedLevels).min(1).optional(),
  deadband: z.number().positive().optional(),
  onDelayS: z.number().min(0).max(86_400).optional(),
  offDelayS: z.number().min(0).max(86_400).optional(),
  latching: z.boolean().optional(),
  /** An acknowledged alarm whose condition still holds rings again after so many minutes; false: never. */
  reAlarmMin: z.union([z.literal(false), z.number().positive().max(10_080)]).optional(),
  /** The longest that a person may shelve it. */
  shelveCapMin: z.number().positive().max(10_080).optional(),
  priority: z.union([z.literal(1), z.literal(2), z.literal(3)]).optional(),
  advice: z.string().max(300).optional(),
  consequence: z.string().max(300).optional(),
  respondWithinMin: z.number().positive().max(10_080).optional(),
  /** Which route its messages take; left out: the default one. */
  route: z.string().max(40).optional(),
});
export type LimitBand = z.infer<typeof limitBand>;

/**
 * Limits of a place: temperatures and dew point in °C, humidity in %, VPD in kPa, CO₂ in ppm, pressure in Pa,
 * `core` (computed core temperature of the bags) in °C.
 */
export const limits = z.strictObject({
  temperature: limitBand.optional(),
  humidity: limitBand.optional(),
  'dew-point': limitBand.optional(),
  vpd: limitBand.optional(),
  co2: limitBand.optional(),
  pressure: limitBand.optional(),
  'probe-temperature': limitBand.optional(),
  core: limitBand.optional(),
});
export type Limits = z.infer<typeof limits>;
