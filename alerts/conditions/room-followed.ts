import { z } from 'zod';
import type { PastLoad } from '../../shared/room/history.ts';
import { followStructure, type RoomState, settledRoom } from '../../shared/room/model.ts';
import type { RoomParams } from '../../shared/room/params.ts';
import {
  drawRooms,
  isWorkingHour,
  meanRoom,
  type RoomFit,
  usualOutsideC,
  weatherLastsMs,
} from '../../shared/room/room-fit.ts';
import { isTaught, type RoomsKnown } from '../../shared/room/rooms-known.ts';
import { createStandingHeat, type GivenHeat } from '../../shared/room/standing-heat.ts';
import { meanOf } from '../../shared/stats/mean.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';

/** A room that may have taught what it is. */
export interface RoomWatched {
  room: string;
  /** Channels of outside air. */
  outside: readonly string[];
  known: RoomsKnown;
}

/** What acted on the room in a step that is over, and how it was before it. */
export interface PastStep {
  /** Measured, mean of the step [°C]. */
  airC: number;
  outsideC: number;
  working: boolean;
  given: GivenHeat;
  /** Walls before it, by room that this one may be [°C]. */
  wallsC: Float64Array;
}

/** A room as its readings leave it, in several shapes that its fit allows. */
export interface RoomNow {
  fit: RoomFit;
  rooms: readonly RoomParams[];
  /** Walls and racks of each [°C]. */
  wallsC: Float64Array;
  /** The newest steps, oldest first. */
  past: readonly PastStep[];
  /** Heat that bags give [W]; null where nobody knows. */
  bagsW: number | null;
}

/** What is known of the steps ahead. */
export interface RoomAhead {
  outsideC: Float64Array;
  workingNow: boolean;
  working: boolean[];
  loads: { moreAirW: Float64Array; wallW: Float64Array };
}

export const followedMs = 5 * minuteMs;
export const followedS = followedMs / 1000;
/** Rooms drawn from a fit: enough for 10 and 90 % points, few enough for each reading. */
const rooms = 16;
const seed = 1;
/** Walls follow the air within hours: before that they are a guess. */
const settlesMs = 6 * hourMs;
/** Air that nobody measured for so long is not followed on. */
const longestGapMs = 1 * hourMs;
/** An outside reading stands for this long (assumed). */
const outsideFreshMs = hourMs;
const keptSteps = hourMs / followedMs;

const memory = z.object({ since: z.number(), t: z.number(), wallC: z.number() });

/**
 * Follows walls and racks of a room behind one channel of its air, in steps of five minutes. The channel stands for
 * the room: by how much it is warmer, its walls are taken to be.
 */
export function createRoomFollowed({ room, known }: Pick<RoomWatched, 'room' | 'known'>) {
  const heat = createStandingHeat();
  let fit: RoomFit | null = null;
  let mean: RoomParams | null = null;
  let drawn: RoomParams[] = [];
  let wallsC = new Float64Array(0);
  let past: PastStep[] = [];
  /** Start of the running step, with its readings; NaN before any. */
  let step = Number.NaN;
  let sum = 0;
  let count = 0;
  let lastC = Number.NaN;
  let since = Number.NaN;
  let outside: { t: EpochMs; tempC: number } | null = null;
  let stored: z.infer<typeof memory> | null = null;
  let dirty = false;

  const outsideAt = (of: RoomFit, t: EpochMs): number =>
    outside !== null && t - outside.t < outsideFreshMs
      ? outside.tempC
      : usualOutsideC(of, known.localHour(t));

  const takeUp = (next: RoomFit | null, t: EpochMs, airC: number): void => {
    if (next === fit) return;
    const before = drawn.length > 0 ? meanOf(wallsC) : null;
    fit = next;
    drawn = next === null ? [] : drawRooms(next, rooms, seed);
    mean = next && meanRoom(next);
    past = [];
    if (next === null) {
      since = Number.NaN;
      return;
    }
    if (before === null) since = t;
    const usualC = meanOf(next.outside.hoursC);
    wallsC = Float64Array.from(drawn, (one) => before ?? settledRoom(one, airC, usualC).structureC);
    if (stored !== null && before === null && t - stored.t < longestGapMs && t >= stored.t) {
      since = stored.since;
      wallsC.fill(stored.wallC);
    }
    stored = null;
  };

  /** A step is over: walls take up what air, weather and loads did in it. */
  const close = (t: EpochMs, airC: number, loads: readonly PastLoad[]): void => {
    if (fit === null || mean === null) return;
    const outsideC = outsideAt(fit, t);
    const working = isWorkingHour(known.localHour(t));
    const state: RoomState = { airC, structureC: meanOf(wallsC) };
    const given = heat.step(loads, t, mean, state, followedS);
    past.push({ airC, outsideC, working, given, wallsC: wallsC.slice() });
    if (past.length > keptSteps) past.shift();
    const met = { airC, outsideC, structureW: given.wallW };
    wallsC = wallsC.map((wallC, k) => followStructure(drawn[k]!, wallC, met, followedS));
    if (t % hourMs === 0) dirty = true;
  };

  return {
    /** A reading of the room's air, in order of time. True when it ends a step: there is news. */
    add(t: EpochMs, airC: number): boolean {
      const of = t - (t % followedMs);
      if (of === step) {
        sum += airC;
        count += 1;
      }
      if (of <= step) return false;
      const broken = !(of - step <= longestGapMs);
      if (broken) {
        fit = null;
        drawn = [];
      } else {
        lastC = sum / count;
        takeUp(known.fitAt(room, step), step, lastC);
        for (let t0 = step; t0 < of; t0 += followedMs) close(t0, lastC, known.loadsAt(room, t0));
      }
      step = of;
      sum = airC;
      count = 1;
      return true;
    },
    outside(t: EpochMs, tempC: number): void {
      outside = { t, tempC };
    },
    /** The room as it is known now; null where it is not. */
    now: (): RoomNow | null =>
      fit === null || !isTaught(fit) || step - since < settlesMs
        ? null
        : { fit, rooms: drawn, wallsC, past, bagsW: known.bagsW(room, step) },
    /** What is to act on it in so many steps from `t` on. */
    ahead(t: EpochMs, airC: number, steps: number): RoomAhead {
      const departureK = outsideAt(fit!, t) - usualOutsideC(fit!, known.localHour(t));
      const at = (k: number) => t + (k + 0.5) * followedMs;
      const usual = (k: number) => usualOutsideC(fit!, known.localHour(at(k)));
      const state: RoomState = { airC, structureC: meanOf(wallsC) };
      const given = heat.ahead(mean!, state, steps + 1, followedS);
      return {
        outsideC: Float64Array.from(
          { length: steps },
          (_, k) => usual(k) + departureK * Math.exp((t - at(k)) / weatherLastsMs),
        ),
        workingNow: isWorkingHour(known.localHour(t)),
        working: Array.from({ length: steps }, (_, k) => isWorkingHour(known.localHour(at(k)))),
        loads: {
          moreAirW: Float64Array.from({ length: steps }, (_, k) => given[k + 1]!.airW - given[0]!.airW),
          wallW: Float64Array.from({ length: steps }, (_, k) => given[k + 1]!.wallW),
        },
      };
    },
    keep: {
      dirty: () => dirty,
      save() {
        dirty = false;
        return JSON.stringify({ since, t: step, wallC: meanOf(wallsC) });
      },
      load(text: string) {
        stored = memory.safeParse(JSON.parse(text)).data ?? null;
      },
    },
  };
}
