import type { Band, InstantInterval } from '../../shared/forecasts.ts';
import { onwardC } from '../../shared/room/onward.ts';
import { normalDraws } from '../../shared/stats/normal-draws.ts';
import { type EpochMs, hourMs } from '../../shared/time.ts';
import type { Trend } from './crossing.ts';
import { followedMs, followedS, type RoomAhead, type RoomNow } from './room-followed.ts';

/** No prediction reaches further. */
const aheadMs = 4 * hourMs;
export const stepsAhead = aheadMs / followedMs;
const seed = 2;

/**
 * How far two nodes are from a room, growing over the first hour: so much, and this part of the way that the air goes
 * [K, 1 sd]. Set on simulated rooms.
 */
const modelSdK = 0.15;
const modelShare = 0.3;
const modelGrowsS = 3_600;

/** Standard normal numbers for each drawn room, mirrored as they are. */
function mirrored(count: number): number[] {
  const draw = normalDraws(seed);
  return Array.from({ length: count / 2 }, draw).flatMap((z) => [z, -z]);
}

/** First instant past the limit on a course whose steps end at `t + (k + 1) * followedMs`; Infinity without one. */
function passesAt(t: EpochMs, startC: number, course: Float64Array, sign: number, limit: number): number {
  let before = sign * (startC - limit);
  if (before >= 0) return t;
  for (let k = 0; k < course.length; k++) {
    const after = sign * (course[k]! - limit);
    if (after >= 0) return t + (k + before / (before - after)) * followedMs;
    before = after;
  }
  return Number.POSITIVE_INFINITY;
}

/** Of an even number of values in order: 10, 50 and 90 % points. */
function bandOf(values: ArrayLike<number>): Band {
  const sorted = Float64Array.from(values).sort();
  const n = sorted.length;
  const at = (share: number) => sorted[Math.min(n - 1, Math.floor(share * n))]!;
  return { low: at(0.1), likely: (sorted[n / 2 - 1]! + sorted[n / 2]!) / 2, high: at(0.9) };
}

/**
 * Where a trend takes a room that taught what it is, and when it passes a limit: the heat behind the trend goes on
 * coming, and walls, weather, loads and hours of work do what they do in each room that this one may be. A line
 * through air that settles behind its walls is right in its middle, so that is where the course begins. The spread is
 * that of the fit, of the trend, and of what two nodes leave.
 * @param trend over the last `spanMs` @param ahead from the middle of that span on
 */
export function roomCrossing(
  { t, value, valueSe, perH, perHSe }: Trend,
  spanMs: number,
  { rooms, wallsC }: RoomNow,
  ahead: RoomAhead,
  side: 'above' | 'below',
  limit: number,
): { crosses: InstantInterval; points: { t: EpochMs; value: Band }[] } {
  const from = t - spanMs / 2;
  const pace = mirrored(rooms.length);
  /** Not the same numbers again: those of the rooms half a round on. */
  const lie = pace.map((_, k) => pace[(k + rooms.length / 2) % rooms.length]!);
  const starts = rooms.map((_, k) => value - (perH * spanMs) / 2 / hourMs + pace[k]! * valueSe);
  const courses = rooms.map((room, k) => {
    const state = { airC: starts[k]!, structureC: wallsC[k]! };
    const course = onwardC(room, state, perH + pace[k]! * perHSe, { stepS: followedS, ...ahead });
    return course.map((airC, step) => {
      const grown = -Math.expm1((-(step + 1) * followedS) / modelGrowsS);
      return airC + lie[k]! * grown * (modelSdK + modelShare * Math.abs(airC - starts[k]!));
    });
  });
  const sign = side === 'above' ? 1 : -1;
  const passes = bandOf(courses.map((course, k) => passesAt(from, starts[k]!, course, sign, limit)));
  return {
    crosses: { earliest: passes.low, likely: passes.likely, latest: passes.high },
    points: [
      { t: from, value: bandOf(starts) },
      ...Array.from(ahead.outsideC, (_, step) => ({
        t: from + (step + 1) * followedMs,
        value: bandOf(courses.map((course) => course[step]!)),
      })),
    ],
  };
}
