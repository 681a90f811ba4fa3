import type { Mark } from './quality-code.ts';

/** Readings of one series that share a bucket: what a roll-up keeps of them. */
export interface Bucket {
  /** Start of the bucket, epoch ms. */
  t: number;
  marked: Mark;
  count: number;
  low: number;
  high: number;
  total: number;
  last: number;
  /** When `last` was, epoch ms. */
  lastT: number;
}

export const bucketStart = (t: number, widthMs: number): number => Math.floor(t / widthMs) * widthMs;

/** Buckets of one time that are marked differently stay apart. */
export const keyOf = (t: number, marked: Mark): number => t * 4 + marked;

const bucketOf = (t: number, value: number, marked: Mark, widthMs: number): Bucket => ({
  t: bucketStart(t, widthMs),
  marked,
  count: 1,
  low: value,
  high: value,
  total: value,
  last: value,
  lastT: t,
});

/** Adds `more` to `into`. Any order gives the same but for rounding in `total`; `last` is the newest by time. */
export function addBucket(into: Bucket, more: Bucket): void {
  into.count += more.count;
  into.total += more.total;
  if (more.low < into.low) into.low = more.low;
  if (more.high > into.high) into.high = more.high;
  if (more.lastT > into.lastT) {
    into.last = more.last;
    into.lastT = more.lastT;
  }
}

/** Collects readings into buckets of one width. */
export function createBuckets(widthMs: number) {
  const byKey = new Map<number, Bucket>();
  // Readings mostly come in order, so the bucket of the one before is the likely one.
  let recent: Bucket | undefined;
  return {
    add(t: number, value: number, marked: Mark): void {
      const start = bucketStart(t, widthMs);
      let bucket = recent;
      if (bucket === undefined || bucket.t !== start || bucket.marked !== marked) {
        const key = keyOf(start, marked);
        bucket = byKey.get(key);
        if (bucket === undefined) {
          recent = bucketOf(t, value, marked, widthMs);
          byKey.set(key, recent);
          return;
        }
        recent = bucket;
      }
      bucket.count += 1;
      bucket.total += value;
      if (value < bucket.low) bucket.low = value;
      if (value > bucket.high) bucket.high = value;
      if (t > bucket.lastT) {
        bucket.last = value;
        bucket.lastT = t;
      }
    },
    all: (): Bucket[] => [...byKey.values()],
  };
}
