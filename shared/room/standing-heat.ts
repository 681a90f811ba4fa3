import { filmFactorRange } from '../heat/film.ts';
import { createLoad, type Load } from '../heat/load.ts';
import { clamp } from '../stats/range.ts';
import type { EpochMs } from '../time.ts';
import type { PastLoad } from './history.ts';
import { aroundLoadC, loadInput, type RoomState } from './model.ts';
import type { RoomParams } from './params.ts';

/** Heat given to air and to walls [W]. */
export interface GivenHeat {
  airW: number;
  wallW: number;
}

/** No load warms a room for longer. */
const feltMs = 48 * 3_600_000;

/** Hot loads that stand in a room, followed through the air that was measured. */
export function createStandingHeat() {
  let standing: { past: PastLoad; load: Load }[] = [];

  const stepAll = (loads: readonly Load[], room: RoomParams, state: RoomState, dtS: number): GivenHeat => {
    const { airC } = state;
    const given: GivenHeat = { airW: 0, wallW: 0 };
    for (const load of loads) {
      const skin = { radiantShare: load.radiantShare(airC), skinC: load.skinC() };
      const around = aroundLoadC(room, state, skin.radiantShare);
      const { heatW, structureW } = loadInput(room, load.step(around, dtS), skin, state);
      given.airW += heatW;
      given.wallW += structureW;
    }
    return given;
  };

  return {
    /**
     * Follows the loads that stand there at `t` through a step of `dtS`, 0 to 3,600, that began then.
     * @returns what they gave, mean over the step
     */
    step(loads: readonly PastLoad[], t: EpochMs, room: RoomParams, state: RoomState, dtS: number): GivenHeat {
      standing = loads
        .filter(({ at, until }) => at <= t && t - at < feltMs && (until === null || until > t))
        .map((past) => {
          const known = standing.find((one) => one.past.at === past.at);
          if (known !== undefined) return known;
          const { low, high } = filmFactorRange;
          const filmFactor = clamp(room.filmFactor * (past.filmTimes ?? 1), low, high);
          const { heatFactor } = room;
          const load = createLoad({ ...past.load, filmFactor, heatFactor, airC: state.airC });
          // Told of later than it came: it cooled meanwhile in about this air.
          for (let missed = past.at; missed < t; missed += dtS * 1000) load.step(state.airC, dtS);
          return { past, load };
        });
      return stepAll(
        standing.map(({ load }) => load),
        room,
        state,
        dtS,
      );
    },
    /** What they are going to give in each of `count` steps, if the air stays about as it is. */
    ahead(room: RoomParams, state: RoomState, count: number, dtS: number): GivenHeat[] {
      const loads = standing.map(({ load }) => load.clone());
      return Array.from({ length: count }, () => stepAll(loads, room, state, dtS));
    },
  };
}
