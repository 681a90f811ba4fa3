import { normalDraws } from '../stats/normal-draws.ts';
import { clamp, inRange } from '../stats/range.ts';
import { type EpochMs, hourMs } from '../time.ts';
import { type DayProfile, errorShare, profileErrorK, profilePieces, type UtcOffset } from './day-profile.ts';
import { moveDeparture, persistence } from './departure.ts';

export interface FutureQuestion {
  profile: DayProfile;
  /** Start of the future; what the profile learned last should not lie after it. */
  from: EpochMs;
  offset: UtcOffset;
  hours: number;
  /** How many futures; even numbers come in mirrored pairs, so that their mean is the forecast's. */
  paths: number;
  seed: number;
}

/**
 * Possible futures of one room's air. Every cohort that stands in the room takes path j with its particle
 * j, so that their errors go together, as they do when a cold week comes.
 */
export interface FutureAir {
  /** Middle of the first hour, epoch ms; hours follow each other. */
  firstT: EpochMs;
  hours: number;
  paths: number;
  /** Path after path, `hours` temperatures each [°C]. */
  tempC: Float64Array;
}

/** Indoor air that can be; a path is kept within [°C]. */
const possibleC = { low: -30, high: 70 } as const;

/** Draws futures; same question, same bytes. Out of range: 1 to 20,000 hours, 1 to 10,000 paths. */
export function futureAir({ profile, from, offset, hours, paths, seed }: FutureQuestion): FutureAir {
  inRange('hours of future air', hours, 1, 20_000);
  inRange('paths of future air', paths, 1, 10_000);
  const firstT = Math.floor(from / hourMs) * hourMs + hourMs / 2;
  const draw = normalDraws(seed);

  const start = moveDeparture(profile.departure, firstT);
  const step = persistence(start, 1);
  const slowStepSd = start.slowSdK * Math.sqrt(1 - step.slow ** 2);
  const fastStepSd = start.fastSdK * Math.sqrt(1 - step.fast ** 2);
  // Slow part first, then what of the fast part that does not tell.
  const slowSd = Math.sqrt(Math.max(0, start.slowVar));
  const fastPerSlow = start.slowVar > 0 ? start.crossVar / start.slowVar : 0;
  const fastSd = Math.sqrt(Math.max(0, start.fastVar - fastPerSlow * start.crossVar));
  const errorK = profileErrorK(profile);
  const pieces = Array.from({ length: hours }, (_, hour) => {
    const t = firstT + hour * hourMs;
    return { ...profilePieces(profile, t, offset), levelSdK: errorK * errorShare(profile, t) };
  });

  const tempC = new Float64Array(paths * hours);
  const drawPath = (path: number, normal: () => number, mirrored: number): void => {
    const level = normal();
    const slowAway = slowSd * normal();
    let slowK = start.slowK + slowAway;
    let fastK = start.fastK + fastPerSlow * slowAway + fastSd * normal();
    // What the departures would be without chance: the mirrored path reflects about it.
    let slowMeanK = start.slowK;
    let fastMeanK = start.fastK;
    for (let hour = 0; hour < hours; hour++) {
      const { usualC, ratio, levelSdK } = pieces[hour]!;
      const meanC = usualC + ratio * (slowMeanK + fastMeanK);
      const awayK = levelSdK * level + ratio * (slowK - slowMeanK + fastK - fastMeanK);
      tempC[path * hours + hour] = clamp(meanC + awayK, possibleC.low, possibleC.high);
      if (mirrored < paths)
        tempC[mirrored * hours + hour] = clamp(meanC - awayK, possibleC.low, possibleC.high);
      slowK = slowK * step.slow + slowStepSd * normal();
      fastK = fastK * step.fast + fastStepSd * normal();
      slowMeanK *= step.slow;
      fastMeanK *= step.fast;
    }
  };
  for (let path = 0; path < paths; path += 2) drawPath(path, draw, path + 1);
  return { firstT, hours, paths, tempC };
}

/** Air on a path at an instant, straight between hours; before the first and after the last, those. */
export function pathAirC({ firstT, hours, tempC }: FutureAir, path: number, t: EpochMs): number {
  const place = clamp((t - firstT) / hourMs, 0, hours - 1);
  const hour = Math.min(hours - 1, Math.floor(place));
  const from = tempC[path * hours + hour]!;
  if (hour === hours - 1) return from;
  return from + (place - hour) * (tempC[path * hours + hour + 1]! - from);
}
