import { z } from 'zod';
import type { EpochMs } from './time.ts';

/** What a channel measures. Inside, every value is in the SI unit of `siUnitOf`. */
export const quantity = z.enum([
  'temperature',
  'humidity',
  'co2',
  'pressure',
  'battery',
  'probe-temperature',
  'cooler-on',
]);
export type Quantity = z.infer<typeof quantity>;

/** Unit that values of a quantity have inside: °C, % relative humidity, ppm, Pa, % charge, % of the time on. */
export const siUnitOf: Record<Quantity, string> = {
  temperature: 'degC',
  humidity: '%',
  co2: 'ppm',
  pressure: 'Pa',
  battery: '%',
  'probe-temperature': 'degC',
  'cooler-on': '%',
};

/**
 * How a value may be used. `good` feeds everything; the others are kept and shown, marked. `clock-skew`: the
 * sensor's own time was more than 2 min ahead or never set, so the receive time stands; it measures well all
 * the same and feeds alarms and forecasts. `suspect` and `out-of-range` feed neither.
 * `estimated`: drawn from a hand-written minimum and maximum; kept and shown, feeds no alarm, and forecasts only as
 * roughly known air where no sensor told it.
 */
export const quality = z.enum(['good', 'clock-skew', 'suspect', 'out-of-range', 'estimated']);
export type Quality = z.infer<typeof quality>;

/** One value of one channel, after decoding, conversion to SI and calibration. */
export interface Reading {
  channel: string;
  t: EpochMs;
  value: number;
  /** As the sensor sent it, in SI, before calibration. */
  raw: number;
  quality: Quality;
  /** Replayed by the broker from an earlier time: counts as data, never as a sign of life. */
  retained: boolean;
  /** When intake took it. */
  receivedAt: EpochMs;
}

/** The newest value of a channel as screens see it. */
export const liveValue = z.object({
  t: z.number(),
  value: z.number(),
  quality,
  /** Change per hour over about the last 30 min, in the channel's unit; null while unknown. */
  trendPerH: z.number().nullable(),
  /** True when two expected periods have passed with no fresh reading. */
  silent: z.boolean(),
  /** It says as little, and nobody misses it: a probe for hot loads that stands in none. */
  idle: z.literal(true).optional(),
});
export type LiveValue = z.infer<typeof liveValue>;

/** One bucket of a roll-up, or one raw reading (then count is 1 and min = max = mean = last). */
export const seriesPoint = z.object({
  t: z.number(),
  count: z.number(),
  min: z.number(),
  max: z.number(),
  mean: z.number(),
  last: z.number(),
  /** How many of `count` are not of good quality: shown, and marked as such. */
  marked: z.number(),
});
export type SeriesPoint = z.infer<typeof seriesPoint>;

export const series = z.object({
  channel: z.string(),
  /** Width of a bucket; 0 for raw readings. */
  bucketMs: z.number(),
  points: z.array(seriesPoint),
});
export type Series = z.infer<typeof series>;

/** Widths of the kept roll-ups, smallest first. */
export const rollupWidthsMs = [60_000, 900_000, 21_600_000] as const;

export interface SeriesQuestion {
  channel: string;
  /** Inclusive. */
  from: EpochMs;
  /** Exclusive. */
  to: EpochMs;
  /** The answer has at most about this many points; the finest width that keeps to it is taken. */
  maxPoints: number;
}

/** Long or short history, from whichever store holds it. One contract suite runs over every adapter. */
export interface ReadingsHistory {
  series(question: SeriesQuestion): Promise<Series>;
  /** Channels that have any reading. */
  channels(): Promise<string[]>;
}
