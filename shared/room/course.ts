import { type Answers, drivenSubstepS, outputOf, readPart } from './driven.ts';
import { createFollower, type Following } from './following.ts';
import { gridMs, type RoomGrid, stepsPerBin } from './history.ts';
import { between, filmPlace, givenBy, type LoadTable } from './load-table.ts';
import { capacityW, followStructure, loadInput, ownGains, roomRun, settledRoom } from './model.ts';
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
const gridS = gridMs / 1000;
/** Half a day's swing that a cooler's condenser is taken to feel where no sensor tells of it [K]. Assumed. */
const condenserSwingK = 5;

export interface RoomCourse {
  /** Air, mean of each bin [°C]; NaN where it is taken as measured. */
  binC: Float64Array;
  /** Walls over the air, each step [K]. */
  wallOverK: Float64Array;
  /** Part of the cooler's capacity in use, each step; of the heater's below zero. NaN there too. */
  used: Float64Array;
  /** By how much each bin's air surprised, in its standard deviations; null unless the room is driven. */
  surprises: Float64Array | null;
}

/** A room whose cooler is known: how that and a sensor answer, and how the room is held to its air. */
export interface Driven {
  answers: Answers;
  following: Following;
}

/**
 * Air that a room with these parameters would have had over a history, mean of each bin [°C]. Nothing holds it
 * to the measured air but its first hours: what is compared is what is predicted. Where it is `driven`, the cooler
 * that is known cooled it, the air is as its sensor would have read it, and each bin is what was expected a bin before.
 */
export function courseOf(
  params: RoomParams,
  outside: LearnedOutside | null,
  grid: RoomGrid,
  tables: readonly LoadTable[],
  driven: Driven | null = null,
): RoomCourse {
  const { steps, working, bagsW, cooler } = grid;
  const standing = tables.map((table) => ({ table, givenIn: givenBy(params, table) }));
  const [alone, atWork] = [ownGains(params, false), ownGains(params, true)];
  const outsideAt = (step: number): number =>
    outside === null ? grid.outsideC![step]! : learnedOutsideC(outside, grid.localHour[step]!);
  const startOutsideC = outside === null ? grid.outsideC![0]! : outside.meanC;
  const follower = driven && createFollower(driven.following);
  const asMeasured = driven?.following.unseen.asMeasured;
  const partS = driven === null ? gridS : drivenSubstepS;
  const parts = gridS / partS;
  // As fine as it is told: a mean over a step of the grid would round off its swings, which lighter air would make up for.
  const givenMin = Math.max(partS / 60, cooler?.stepMin ?? 0);
  const given = driven && cooler && outputOf(cooler, driven.answers.buildsUpMin, givenMin);
  const partsPerGiven = (60 * givenMin) / partS;
  const run = roomRun(params, settledRoom(params, grid.airC[0]!, startOutsideC), partS, substepS);
  const toRead = driven === null ? 1 : readPart(driven.answers);
  // What a condenser feels of weather that no sensor tells is no measure of that weather.
  const condenser = driven && outside && { ...outside, swingK: condenserSwingK };
  const coolingAt = (step: number, outsideC: number): number =>
    condenser === null
      ? 1
      : capacityW(params, learnedOutsideC(condenser, grid.localHour[step]!)) / capacityW(params, outsideC);
  let readC = grid.airC[0]!;
  const binC = new Float64Array(steps / stepsPerBin);
  const wallOverK = new Float64Array(steps);
  const used = new Float64Array(steps);
  for (let step = 0; step < steps; step++) {
    const bin = Math.floor(step / stepsPerBin);
    const own = working[step] === 1 ? atWork : alone;
    const outsideC = outsideAt(step);
    const measuredC = grid.airC[step]!;
    let airInW = own.airW + bagsW[step]! + (follower?.airW() ?? 0);
    let wallInW = own.wallW + (follower?.wallW() ?? 0);
    for (const { table, givenIn } of standing) {
      const at = step - table.first;
      if (at < 0 || at >= table.heatW[0]!.length) continue;
      const its = givenIn(at);
      const around = { airC: measuredC, structureC: run.structureC };
      const { heatW, structureW } = loadInput(params, its.loadW, its, around);
      airInW += heatW;
      wallInW += structureW;
    }
    if (asMeasured?.[bin] === 1) {
      // Nobody knows what was taken from the air or given to it: it is as it was measured, and the walls follow.
      const behind = { airC: measuredC, outsideC, structureW: wallInW - own.wallW };
      run.structureC = followStructure(params, run.structureC, behind, gridS);
      run.airC = measuredC;
      readC = measuredC;
      binC[bin] = Number.NaN;
      used[step] = Number.NaN;
    } else {
      const cooling = coolingAt(step, outsideC);
      let sum = 0;
      let usedSum = 0;
      for (let part = 0; part < parts; part++) {
        const beforeC = readC;
        const its = given?.[Math.floor((step * parts + part) / partsPerGiven)];
        run.step(outsideC, airInW, wallInW, cooling, its);
        usedSum += run.used;
        readC += toRead * (run.airC - readC);
        // Of a mean, not of its end: half a step more of lag would be taken for lighter air.
        sum += driven === null ? run.meanC : (beforeC + readC) / 2;
      }
      binC[bin]! += sum / parts / stepsPerBin;
      used[step] = usedSum / parts;
    }
    if (follower !== null && (step + 1) % stepsPerBin === 0) {
      const room = { airC: run.airC, readC, structureC: run.structureC };
      follower.learn(bin, grid.binC[bin]! - binC[bin]!, room);
      run.airC = room.airC;
      run.structureC = room.structureC;
      readC = room.readC;
    }
    wallOverK[step] = run.structureC - run.airC;
  }
  return { binC, wallOverK, used, surprises: follower?.surprises ?? null };
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
