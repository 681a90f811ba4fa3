import { clamp } from '../stats/range.ts';
import { type EpochMs, hourMs } from '../time.ts';

/**
 * A room's departure from its usual day: a slow part that lasts days (weather, a changed thermostat) and a
 * fast part that lasts hours (a door, a hot unload), each of first order, followed by a Kalman filter.
 * Plain data, in K.
 */
export interface Departure {
  /** Last hour seen, epoch ms; null before the first. */
  t: EpochMs | null;
  slowK: number;
  fastK: number;
  slowVar: number;
  fastVar: number;
  crossVar: number;
  /** Learned sizes and the hourly persistence of the fast part. */
  slowSdK: number;
  fastSdK: number;
  fastPerHour: number;
  /** Running second moments that they come from: now with now, with an hour ago, with a day ago. */
  moments: { hours: number; same: Moment; hour: Moment; day: Moment; lastU: number | null };
}

/** A running mean [K2], and the part of it that still is what was assumed before anything was seen. */
interface Moment {
  mean: number;
  assumed: number;
}

/** Days in which the slow part falls to 1/e (assumed). */
const slowDays = 5;
const slowPerHour = Math.exp(-1 / (slowDays * 24));
/** Before a room is known (assumed): 0.8 K from day to day, 0.6 K within one, the latter gone in about 3 h. */
const start = { slowSdK: 0.8, fastSdK: 0.6, fastPerHour: 0.7 } as const;
/** Hours that the starting values weigh, and that moments look back over. */
const priorHours = 36;
const memoryHours = 14 * 24;
/** Variance of an hourly mean as a measure of the room's air [K2]. */
const observationVar = 0.01;
/** One hour teaches no more than this many typical squares. */
const clipSquares = 9;

/**
 * Variance of a mean over days of slow departures, relative to theirs: how much of them hides in the usual day
 * that was learned from the same days, and so is missing from what is seen about it.
 */
export function hiddenShare(days: number): number {
  const spans = days / slowDays;
  return (2 / spans) * (1 - -Math.expm1(-spans) / spans);
}
/** In the first days almost all is hidden; beyond this the starting values are the better guide. */
const mostHidden = 0.37;

/** Second moments of the departures that are assumed [K2]. */
const assumedMoments = {
  same: start.slowSdK ** 2 * (1 - mostHidden) + start.fastSdK ** 2,
  hour: start.slowSdK ** 2 * (slowPerHour - mostHidden) + start.fastSdK ** 2 * start.fastPerHour,
  day: start.slowSdK ** 2 * (slowPerHour ** 24 - mostHidden),
} as const;

export function freshDeparture(): Departure {
  const { slowSdK, fastSdK, fastPerHour } = start;
  const slow = slowSdK ** 2;
  const fast = fastSdK ** 2;
  return {
    t: null,
    slowK: 0,
    fastK: 0,
    slowVar: slow,
    fastVar: fast,
    crossVar: 0,
    slowSdK,
    fastSdK,
    fastPerHour,
    moments: {
      hours: 0,
      same: { mean: assumedMoments.same, assumed: 1 },
      hour: { mean: assumedMoments.hour, assumed: 1 },
      day: { mean: assumedMoments.day, assumed: 1 },
      lastU: null,
    },
  };
}

/** Persistence of both parts over a time [h]. */
export const persistence = ({ fastPerHour }: Departure, hours: number): { slow: number; fast: number } => ({
  slow: slowPerHour ** hours,
  fast: fastPerHour ** hours,
});

/** The departure at a later instant with nothing seen in between; an earlier one leaves it as it is. */
export function moveDeparture(departure: Departure, t: EpochMs): Departure {
  if (departure.t === null) return { ...departure, t };
  const hours = Math.max(0, (t - departure.t) / hourMs);
  if (hours === 0) return departure;
  const { slow, fast } = persistence(departure, hours);
  return {
    ...departure,
    t,
    slowK: departure.slowK * slow,
    fastK: departure.fastK * fast,
    slowVar: departure.slowVar * slow * slow + departure.slowSdK ** 2 * (1 - slow * slow),
    fastVar: departure.fastVar * fast * fast + departure.fastSdK ** 2 * (1 - fast * fast),
    crossVar: departure.crossVar * slow * fast,
  };
}

/** An hour's departure from the usual day. */
export interface SeenDeparture {
  u: number;
  /** That of the same hour a day before; null when not known. */
  yesterday: number | null;
  /** Days that the usual day was learned from. */
  days: number;
}

/** The departure after one more hour. */
export function observeDeparture(before: Departure, t: EpochMs, seen: SeenDeparture): Departure {
  const { u } = seen;
  const moved = moveDeparture(before, t);
  const anHourAgo = before.t !== null && t - before.t <= 1.5 * hourMs ? before.moments.lastU : null;

  const slowWithU = moved.slowVar + moved.crossVar;
  const fastWithU = moved.fastVar + moved.crossVar;
  const total = slowWithU + fastWithU + observationVar;
  const surprise = u - moved.slowK - moved.fastK;
  const slowGain = slowWithU / total;
  const fastGain = fastWithU / total;
  return learnSizes(
    {
      ...moved,
      slowK: moved.slowK + slowGain * surprise,
      fastK: moved.fastK + fastGain * surprise,
      slowVar: moved.slowVar - slowGain * slowWithU,
      fastVar: moved.fastVar - fastGain * fastWithU,
      crossVar: moved.crossVar - slowGain * fastWithU,
    },
    seen,
    anHourAgo,
  );
}

/** What was seen of a moment, without what was assumed; that where nothing was. */
const seenOf = ({ mean, assumed }: Moment, prior: number): number =>
  assumed < 1 ? (mean - assumed * prior) / (1 - assumed) : prior;

/** Smallest second moment that sizes are made of [K2]. */
const leastSame = 1e-4;

/**
 * Second moments by what was seen and a rest of what was assumed. How large departures are is assumed give or take a
 * factor, so its rest counts by its logarithm: as a sum it would keep a room that is held within a tenth of a kelvin as
 * unsure as others for weeks. How they go with those of an hour and a day ago is a share of that.
 */
function blended({ same, hour, day }: Departure['moments']): { same: number; hour: number; day: number } {
  const { assumed } = same;
  const seen = Math.max(leastSame, seenOf(same, assumedMoments.same));
  const size = assumedMoments.same ** assumed * seen ** (1 - assumed);
  const share = (moment: Moment, prior: number): number =>
    moment.assumed * (prior / assumedMoments.same) + ((1 - moment.assumed) * seenOf(moment, prior)) / seen;
  return {
    same: size,
    hour: size * share(hour, assumedMoments.hour),
    day: size * share(day, assumedMoments.day),
  };
}

/** Sizes of the two parts from the running moments: what persists for a day is slow, the rest is fast. */
function learnSizes(
  departure: Departure,
  { u, yesterday, days }: SeenDeparture,
  anHourAgo: number | null,
): Departure {
  const before = departure.moments;
  const hours = before.hours + 1;
  const weight = 1 / (Math.min(hours, memoryHours) + priorHours);
  const most = clipSquares * before.same.mean;
  const learn = ({ mean, assumed }: Moment, other: number | null): Moment =>
    other === null
      ? { mean, assumed }
      : {
          mean: mean + weight * (clamp(u * other, -most, most) - mean),
          assumed: assumed * (1 - weight),
        };
  const moments = {
    ...{ hours, lastU: u },
    ...{
      same: learn(before.same, u),
      hour: learn(before.hour, anHourAgo),
      day: learn(before.day, yesterday),
    },
  };
  const { same, hour, day } = blended(moments);
  const hidden = Math.min(mostHidden, hiddenShare(days));
  const slow = clamp(day / (slowPerHour ** 24 - hidden), 0.05 * same, (0.95 * same) / (1 - hidden));
  const fast = same - slow * (1 - hidden);
  return {
    ...departure,
    slowSdK: Math.sqrt(Math.max(slow, leastSame)),
    fastSdK: Math.sqrt(Math.max(fast, leastSame)),
    fastPerHour: clamp((hour - slow * (slowPerHour - hidden)) / fast, 0.1, 0.95),
    moments,
  };
}
