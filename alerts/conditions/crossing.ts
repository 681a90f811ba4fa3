import type { Band, InstantInterval } from '../../shared/forecasts.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { Recent } from './recent.ts';

/** A straight line through the newest readings, and how well it is known. */
export interface Trend {
  t: EpochMs;
  /** On the line at `t`, with its standard error. */
  value: number;
  valueSe: number;
  perH: number;
  perHSe: number;
}

/** Readings of one sensor hang together: so many count as one when errors are judged (assumed). */
const togetherMs = 4 * minuteMs;
/** No sensor is better than this within minutes (assumed) [K]. */
const leastSd = 0.05;
/** A room that warms or cools without its thermostat slows down as it nears its surroundings (assumed). */
const slowsWithin = { earliest: 12 * hourMs, likely: 3 * hourMs, latest: 1.2 * hourMs };
/** 10 and 90 % points of the normal distribution. */
const tenth = 1.2816;

/** The trend of the last `spanMs`, or null before there is enough to tell. */
export function trendOf(recent: Recent, spanMs: number): Trend | null {
  const last = recent.count - 1;
  if (last < 5) return null;
  const t = recent.t(last);
  let first = last;
  while (first > 0 && t - recent.t(first - 1) <= spanMs) first -= 1;
  const n = last - first + 1;
  const span = t - recent.t(first);
  if (n < 6 || span < 0.6 * spanMs) return null;
  let sumX = 0;
  let sumY = 0;
  for (let i = first; i <= last; i += 1) {
    sumX += (recent.t(i) - t) / hourMs;
    sumY += recent.value(i);
  }
  const meanX = sumX / n;
  const meanY = sumY / n;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let i = first; i <= last; i += 1) {
    const x = (recent.t(i) - t) / hourMs - meanX;
    const y = recent.value(i) - meanY;
    xx += x * x;
    xy += x * y;
    yy += y * y;
  }
  const perH = xy / xx;
  const sd = Math.max(leastSd, Math.sqrt(Math.max(0, yy - perH * xy) / (n - 2)));
  const effective = Math.max(2, Math.min(n, 1 + span / togetherMs));
  const perHSe = sd * Math.sqrt(n / (xx * effective));
  return {
    t,
    value: meanY - perH * meanX,
    valueSe: Math.hypot(sd / Math.sqrt(effective), meanX * perHSe),
    perH,
    perHSe,
  };
}

/** Time until a course that starts at `perH` and slows down has gone `distance`; Infinity when it never has. */
function timeToGo(distance: number, perH: number, slowsMs: number): number {
  if (distance <= 0) return 0;
  if (perH <= 0) return Number.POSITIVE_INFINITY;
  const share = distance / ((perH * slowsMs) / hourMs);
  return share >= 1 ? Number.POSITIVE_INFINITY : -slowsMs * Math.log1p(-share);
}

/** When a trend takes the value past a limit; Infinity where it does not get there. */
export function crossingOf(trend: Trend, side: 'above' | 'below', limit: number): InstantInterval {
  const sign = side === 'above' ? 1 : -1;
  const distance = sign * (limit - trend.value);
  const perH = sign * trend.perH;
  const at = (z: number, slowsMs: number) =>
    trend.t + timeToGo(distance - z * trend.valueSe, perH + z * trend.perHSe, slowsMs);
  return {
    earliest: at(tenth, slowsWithin.earliest),
    likely: at(0, slowsWithin.likely),
    latest: at(-tenth, slowsWithin.latest),
  };
}

/** The expected course of a trend for so long, with its 80 % range. */
export function courseOf(trend: Trend, forMs: number, stepMs: number): { t: EpochMs; value: Band }[] {
  const gone = (ms: number, perH: number, slowsMs: number) =>
    (perH * slowsMs * -Math.expm1(-ms / slowsMs)) / hourMs;
  const points: { t: EpochMs; value: Band }[] = [];
  for (let ms = 0; ms <= forMs; ms += stepMs) {
    const slow = gone(ms, trend.perH - Math.sign(trend.perH) * tenth * trend.perHSe, slowsWithin.latest);
    const fast = gone(ms, trend.perH + Math.sign(trend.perH) * tenth * trend.perHSe, slowsWithin.earliest);
    const off = tenth * trend.valueSe;
    points.push({
      t: trend.t + ms,
      value: {
        low: trend.value + Math.min(slow, fast) - off,
        likely: trend.value + gone(ms, trend.perH, slowsWithin.likely),
        high: trend.value + Math.max(slow, fast) + off,
      },
    });
  }
  return points;
}
