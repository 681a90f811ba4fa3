import { clamp } from '../stats/range.ts';
import { type Answers, outputOf } from './driven.ts';
import { gridMs, type RoomGrid, stepsPerBin } from './history.ts';
import { between, filmPlace, givenBy, type LoadTable, shareOfFirst } from './load-table.ts';
import { loadInput, ownGains, roomRun, settledRoom } from './model.ts';
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
/** A sensor's lag wants shorter ones [s]. */
const drivenSubstepS = 60;
const gridS = gridMs / 1000;
/**
 * Weather of which no sensor tells would carry a room away whose cooler does not answer for it: each bin, what is
 * measured draws air and structure back by these parts of its distance. Set on simulated rooms.
 */
const steer = { air: 0.03, structure: 0.15 } as const;
/** A door or a load that is not known draws no harder than so much [K]. */
const mostSteeredK = 2;

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
 * to the measured air but its first hours: what is compared is what is predicted. With `answers`, where it is known
 * when the cooler ran that is what cooled it, and the air is as its sensor would have read it.
 */
export function courseOf(
  params: RoomParams,
  outside: LearnedOutside | null,
  grid: RoomGrid,
  tables: readonly LoadTable[],
  answers: Answers | null = null,
): RoomCourse {
  const { steps, working, bagsW, cooler } = grid;
  const standing = tables.map((table) => ({ table, givenIn: givenBy(params, table) }));
  const [alone, atWork] = [ownGains(params, false), ownGains(params, true)];
  const outsideAt = (step: number): number =>
    outside === null ? grid.outsideC![step]! : learnedOutsideC(outside, grid.localHour[step]!);
  const startOutsideC = outside === null ? grid.outsideC![0]! : outside.meanC;
  const given = answers && cooler && outputOf(cooler, answers.buildsUpMin, gridS / 60);
  const partS = given === null ? substepS : drivenSubstepS;
  const parts = gridS / partS;
  const run = roomRun(params, settledRoom(params, grid.airC[0]!, startOutsideC), partS, substepS);
  const toRead = answers === null ? 1 : partS / (partS + 60 * answers.readMin);
  const steered = given !== null && outside !== null;
  let readC = grid.airC[0]!;
  const binC = new Float64Array(steps / stepsPerBin);
  const wallOverK = new Float64Array(steps);
  const used = new Float64Array(steps);
  const airInW = new Float64Array(parts);
  const wallInW = new Float64Array(parts);
  for (let step = 0; step < steps; step++) {
    const own = working[step] === 1 ? atWork : alone;
    const share = given?.[step];
    const known = share === undefined || Number.isNaN(share) ? undefined : share;
    const outsideC = outsideAt(step);
    airInW.fill(own.airW + bagsW[step]!);
    wallInW.fill(own.wallW);
    for (const { table, givenIn } of standing) {
      const at = step - table.first;
      if (at < 0 || at >= table.heatW[0]!.length) continue;
      const its = givenIn(at);
      const around = { airC: grid.airC[step]!, structureC: run.structureC };
      const { heatW, structureW } = loadInput(params, its.loadW, its, around);
      for (let part = 0; part < parts; part++) {
        const share = at === 0 ? shareOfFirst(table.late, part, parts) : 1;
        airInW[part]! += share * heatW;
        wallInW[part]! += share * structureW;
      }
    }
    const bin = Math.floor(step / stepsPerBin);
    let sum = 0;
    for (let part = 0; part < parts; part++) {
      const beforeC = readC;
      run.step(outsideC, airInW[part]!, wallInW[part]!, 1, known);
      readC += toRead * (run.airC - readC);
      // Of a mean, not of its end: half a step more of lag would be taken for lighter air.
      sum += (beforeC + readC) / 2;
    }
    binC[bin]! += sum / parts / stepsPerBin;
    if (steered && (step + 1) % stepsPerBin === 0) {
      const missK = clamp(grid.binC[bin]! - binC[bin]!, -mostSteeredK, mostSteeredK);
      if (Number.isFinite(missK)) {
        run.airC += steer.air * missK;
        readC += steer.air * missK;
        run.structureC += steer.structure * missK;
      }
    }
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
