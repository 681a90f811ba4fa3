import type { RecordedReading, RecordedReadings } from '../../shared/ports.ts';

/** Recorded readings out of plain memory, bucketed when asked. */
export function recordedOf(channels: Record<string, readonly RecordedReading[]>): RecordedReadings {
  const within = (channel: string, from: number, to: number) =>
    (channels[channel] ?? []).filter(({ t }) => t >= from && t < to).sort((a, b) => a.t - b.t);
  return {
    extremes(channel, widthMs, from, to) {
      const buckets = new Map<number, { t: number; low: number; high: number }>();
      for (const { t, value } of within(channel, from, Math.ceil(to / widthMs) * widthMs)) {
        const start = t - (t % widthMs);
        if (start < from || start >= to) continue;
        const bucket = buckets.get(start) ?? { t: start, low: value, high: value };
        bucket.low = Math.min(bucket.low, value);
        bucket.high = Math.max(bucket.high, value);
        buckets.set(start, bucket);
      }
      return [...buckets.values()];
    },
    readings: within,
    keptFrom: (channel) => channels[channel]?.[0]?.t ?? null,
  };
}

/** Readings of one channel, one each `everyMs`, that arrived as they were taken. */
export const readingsOf = (from: number, everyMs: number, values: readonly number[]): RecordedReading[] =>
  values.map((value, n) => {
    const t = from + n * everyMs;
    return { t, value, quality: 'good', receivedAt: t };
  });
