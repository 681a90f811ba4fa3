import { ownGains, type RoomState, roomRun } from './model.ts';
import type { RoomParams } from './params.ts';

/** What acts on a room over the steps ahead. */
export interface Ahead {
  /** Length of a step [s]. */
  stepS: number;
  /** Outside air of each step [°C]; tells how many there are. */
  outsideC: ArrayLike<number>;
  /** Whether lamps are on and people about: now, and in each step. */
  workingNow: boolean;
  working: ArrayLike<boolean>;
  /**
   * What standing loads give in each step [W]: to the air beyond what they give it now, to walls all of it. Nothing
   * unless given.
   */
  loads?: { moreAirW: ArrayLike<number>; wallW: ArrayLike<number> };
}

/**
 * Heat that must come into the air, cooler and heater included, for it to change at a speed [W]:
 * `C dT/dt = UA (T_walls - T) + leak (To - T) + heat`, solved for the heat.
 */
export const heatBehindW = (
  params: RoomParams,
  { airC, structureC }: RoomState,
  outsideC: number,
  perH: number,
): number =>
  (params.airJPerK * perH) / 3600 +
  params.airToStructureWPerK * (airC - structureC) +
  params.leakWPerK * (airC - outsideC);

/**
 * Air after each step ahead, if the heat that makes it change now goes on coming [°C]: a cooler that runs to its
 * full runs on, one that does not stays away. Walls take up what they do; hours of work and loads change it.
 * @param perH speed of the air now [K/h]
 */
export function onwardC(
  params: RoomParams,
  state: RoomState,
  perH: number,
  { stepS, outsideC, workingNow, working, loads }: Ahead,
): Float64Array {
  const heatW = heatBehindW(params, state, outsideC[0] ?? 0, perH);
  const now = ownGains(params, workingNow);
  const without = {
    ...params,
    coolAboveC: Number.POSITIVE_INFINITY,
    heatBelowC: Number.NEGATIVE_INFINITY,
  };
  const run = roomRun(without, { airC: state.airC, structureC: state.structureC, used: 0 }, stepS);
  return Float64Array.from(outsideC, (outC, step) => {
    const own = ownGains(params, working[step] ?? false);
    run.step(
      outC,
      heatW + own.airW - now.airW + (loads?.moreAirW[step] ?? 0),
      own.wallW + (loads?.wallW[step] ?? 0),
      1,
    );
    return run.airC;
  });
}
