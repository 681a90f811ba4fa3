import { type RoomGrid, stepsPerBin } from './history.ts';
import { between, filmPlace, givenBy, type LoadTable } from './load-table.ts';
import { ownGains, roomRun, settledRoom } from './model.ts';
import type { RoomParams } from './params.ts';

/** Outside air of a room of which no sensor tells it: its mean and half its daily swing, warmest at 15 h [°C, K]. */
export interface LearnedOutside {
  meanC: number;
  swingK: number;
}

export const learnedOutsideC = ({ meanC, swingK }: LearnedOutside, localHour: number): number =>
  meanC + swingK * Math.cos(((localHour - 15) / 12) * Math.PI);

/** Substeps of a fit are longer than those of a prediction: bins of a quarter of an hour do not tell [s]. */
const substepS = 100;

/** What all loads give to air and structure in each step [W]. */
function loadsOf(
  params: RoomParams,
  steps: number,
  tables: readonly LoadTable[],
): [airW: Float64Array, wallW: Float64Array] {
  const airW = new Float64Array(steps);
  const wallW = new Float64Array(steps);
  for (const table of tables) {
    const givenIn = givenBy(params, table);
    for (let i = 0; i < table.heatW[0]!.length; i++) {
      const { heatW, structureW } = givenIn(i);
      airW[table.first + i]! += heatW;
      wallW[table.first + i]! += structureW;
    }
  }
  return [airW, wallW];
}

export interface RoomCourse {
  /** Air, mean of each bin [°C]. */
  binC: Float64Array;
  /** Walls over the air, each step [K]. */
  wallOverK: Float64Array;
  /** Part of the cooler's capacity in use, each step; of the heater's below zero. */
  used: Float64Array;
}

/**
 * Air that a room with these parameters would have had over a history, mean of each bin [°C]. Nothing holds it
 * to the measured air but its first hours: what is compared is what is predicted.
 */
export function courseOf(
  params: RoomParams,
  outside: LearnedOutside | null,
  grid: RoomGrid,
  tables: readonly LoadTable[],
): RoomCourse {
  const { steps, working, bagsW } = grid;
  const [airW, wallW] = loadsOf(params, steps, tables);
  const [alone, atWork] = [ownGains(params, false), ownGains(params, true)];
  const outsideAt = (step: number): number =>
    outside === null ? grid.outsideC![step]! : learnedOutsideC(outside, grid.localHour[step]!);
  const startOutsideC = outside === null ? grid.outsideC![0]! : outside.meanC;
  const run = roomRun(params, settledRoom(params, grid.airC[0]!, startOutsideC), 300, substepS);
  const binC = new Float64Array(steps / stepsPerBin);
  const wallOverK = new Float64Array(steps);
  const used = new Float64Array(steps);
  for (let step = 0; step < steps; step++) {
    const own = working[step] === 1 ? atWork : alone;
    run.step(outsideAt(step), own.airW + bagsW[step]! + airW[step]!, own.wallW + wallW[step]!, 1);
    binC[Math.floor(step / stepsPerBin)]! += run.airC / stepsPerBin;
    wallOverK[step] = run.structureC - run.airC;
    used[step] = run.used;
  }
  return { binC, wallOverK, used };
}

/** Cores of loads that were measured, as these parameters have them, less what was measured [K]. */
export function coreMisses(
  params: RoomParams,
  { wallOverK }: RoomCourse,
  tables: readonly LoadTable[],
): { missK: number; overAirK: number }[] {
  const place = filmPlace(params.filmFactor);
  return tables.flatMap(({ first, cores }) =>
    cores.map(({ step, measuredC, overAirK, byFilmC, perWallK, perHeatK, perConductionK, radiantShare }) => {
      let overK = 0;
      for (let i = first; i <= step; i++) overK += wallOverK[i]! / (step - first + 1);
      const aroundK = Math.min(0.95, params.radiantFactor * radiantShare) * overK;
      const coreC =
        between(byFilmC, place) +
        between(perWallK, place) * aroundK +
        between(perHeatK, place) * (params.heatFactor - 1) +
        between(perConductionK, place) * (params.conductionFactor - 1);
      return { missK: coreC - measuredC, overAirK };
    }),
  );
}
