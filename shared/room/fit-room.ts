import { clamp } from '../stats/range.ts';
import { invertSymmetric } from '../stats/symmetric.ts';
import { coreMisses, courseOf, type LearnedOutside, learnedOutsideC, type RoomCourse } from './course.ts';
import { type Answers, answersLnSd, usualAnswers } from './driven.ts';
import { descend, type Misses } from './gauss-newton.ts';
import { binMs, gridMs, gridOf, type RoomGrid, type RoomHistory, stepsPerBin } from './history.ts';
import { type LoadTable, tableOf } from './load-table.ts';
import { capacityW, lossWPerK } from './model.ts';
import { asOne, firstNoise, type Noise, noiseOf, whitener } from './noise.ts';
import { fromVector, type RoomParam, type RoomParams, roomParamNames } from './params.ts';
import { robust } from './robust.ts';
import type { RoomFit } from './room-fit.ts';
import { fallingOf, fallingSd, halfRiseMin, halfRiseSdMin, swingLnSd, swingOf } from './swing-laws.ts';
import { middleSwing, type Swing } from './swings.ts';

/** The first hours are for the structure to find its temperature; they are not compared. */
const burnInBins = (18 * 3_600_000) / binMs;
/**
 * A core thermometer and where in the container it was held [K, 1 sd], and how containers differ, as a part of
 * what the core is over the air. Assumed.
 */
const coreSdK = 0.6;
const coreShare = 0.05;
/** Outside air of which no sensor tells: what is thought of it before [K, 1 sd]. Assumed. */
const outsideMeanSdK = 6;
const outsideSwingLnSd = 0.6;
const outsideSwingK = 5;
/** A parameter whose spread history left at this part of what it was is not told by it. */
const untoldAbove = 0.85;

/**
 * How far parameters that fit a past lie from those that fit an unload larger than any in it: two nodes are not a
 * room [1 sd of the log]. Set on simulated rooms.
 */
const modelLnSd: Partial<Record<RoomParam, number>> = {
  airToStructureWPerK: 0.15,
  structureJPerK: 0.2,
  coolingW: 0.12,
  gainW: 0.12,
  filmFactor: 0.1,
  heatFactor: 0.03,
  radiantFactor: 0.05,
};

interface Problem {
  grid: RoomGrid;
  tables: LoadTable[];
  prior: RoomFit;
  swing: Swing | null;
  /** Mean air of each stretch of swings [°C]. */
  dutyAirC: number[];
  /** Mean outside air, for the cooler's capacity [°C]. */
  warmOutsideC: number;
  /** How far the measured air of each bin is from the middle of all [K]. */
  awayK: Float64Array;
  /** Prior mean and sd of each number searched for: the room's, then those of which `at` tells the places. */
  mean: number[];
  sd: number[];
  at: {
    /** Mean and ln swing of outside air; null where a sensor tells it. */
    outside: number | null;
    /** How cooler and sensor answer; null where nothing tells when the cooler ran. */
    answers: number | null;
    /** How far this room's swings lie off the usual line; no part of the answer. */
    off: number;
  };
}

const size = roomParamNames.length;

function problemOf(history: RoomHistory, prior: RoomFit): Problem {
  const grid = gridOf(history);
  const mean = [...prior.mean];
  const sd = roomParamNames.map((_, k) => Math.sqrt(prior.covariance[k * size + k]!));
  const air = grid.binC.filter(Number.isFinite).sort();
  const quantile = (share: number) => air[Math.floor(share * (air.length - 1))]!;
  const set = (name: RoomParam, value: number, sdK: number) => {
    mean[roomParamNames.indexOf(name)] = value;
    sd[roomParamNames.indexOf(name)] = sdK;
  };
  // Where the air is most of the time lies between heater and cooler.
  set('coolAboveC', quantile(0.6), 1.5);
  set('heatBelowC', quantile(0.05) - 0.3, 1.5);
  const more = (...numbers: { mean: number; sd: number }[]): number => {
    mean.push(...numbers.map((number) => number.mean));
    sd.push(...numbers.map((number) => number.sd));
    return mean.length - numbers.length;
  };
  const at = {
    outside:
      grid.outsideC !== null
        ? null
        : more(
            { mean: meanOf(prior.outside.hoursC), sd: outsideMeanSdK },
            { mean: Math.log(outsideSwingK), sd: outsideSwingLnSd },
          ),
    answers:
      grid.cooler === null
        ? null
        : more(
            { mean: Math.log(usualAnswers.buildsUpMin), sd: answersLnSd.buildsUpMin },
            { mean: Math.log(usualAnswers.readMin), sd: answersLnSd.readMin },
          ),
    off: more({ mean: 0, sd: 1 }),
  };
  const tables = history.loads.flatMap((load) => tableOf(load, grid) ?? []);
  const middleC = quantile(0.5);
  // Where it neither clearly cools nor clearly heats, swings could be of either.
  const coolsAboveC = (quantile(0.6) + quantile(0.05)) / 2;
  const ofCooler = grid.duties.filter(
    ({ from, to }) => from >= burnInBins * stepsPerBin && meanOf(grid.airC.subarray(from, to)) > coolsAboveC,
  );
  const outsideC = grid.outsideC ?? prior.outside.hoursC;
  return {
    ...{ grid, tables, prior, mean, sd, at },
    dutyAirC: grid.duties.map(({ from, to }) => meanOf(grid.airC.subarray(from, to))),
    swing: middleSwing(ofCooler, gridMs / 1000),
    warmOutsideC: meanOf(outsideC),
    awayK: grid.binC.map((c) => c - middleC),
  };
}

const meanOf = (values: ArrayLike<number>): number =>
  Array.from(values).reduce((sum, value) => sum + value, 0) / values.length;

const vectorOf = ({ mean, sd }: Problem, z: ArrayLike<number>): number[] =>
  mean.map((middle, k) => middle + sd[k]! * z[k]!);

interface ReadOff {
  params: RoomParams;
  outside: LearnedOutside | null;
  answers: Answers | null;
}

function readOff(problem: Problem, z: ArrayLike<number>): ReadOff {
  const vector = vectorOf(problem, z);
  const { outside, answers } = problem.at;
  return {
    params: fromVector(vector),
    outside:
      outside === null
        ? null
        : { meanC: vector[outside]!, swingK: Math.exp(clamp(vector[outside + 1]!, -3, 3)) },
    answers:
      answers === null
        ? null
        : { buildsUpMin: Math.exp(vector[answers]!), readMin: Math.exp(vector[answers + 1]!) },
  };
}

const courseBy = ({ grid, tables }: Problem, { params, outside, answers }: ReadOff): RoomCourse =>
  courseOf(params, outside, grid, tables, answers);

/** Measured less predicted air of each bin [K]; NaN where none was measured, and in the first hours. */
const errorsOf = (problem: Problem, { binC }: RoomCourse): Float64Array =>
  binC.map((airC, bin) => (bin < burnInBins ? Number.NaN : problem.grid.binC[bin]! - airC));

/** Swings of the thermostat against how long the room has its cooler run; `off` is this room's own lie off the line. */
function dutyMisses(
  { grid, dutyAirC }: Problem,
  { used }: RoomCourse,
  { coolAboveC, heatBelowC }: RoomParams,
  off: number,
): Float64Array {
  const sums = new Float64Array(used.length + 1);
  for (let step = 0; step < used.length; step++) sums[step + 1] = sums[step]! + used[step]!;
  return Float64Array.from(grid.duties, ({ from, to, falling }, k) => {
    if (from < burnInBins * stepsPerBin) return 0;
    const meanUsed = (sums[to]! - sums[from]!) / (to - from);
    // Nearer to where it heats, the swings are the heater's.
    const heats = dutyAirC[k]! < (coolAboveC + heatBelowC) / 2;
    // When a cooler ran is known better than its swings tell.
    if (!heats && grid.cooler !== null) return 0;
    const expected = heats ? 1 - fallingOf(Math.max(0, -meanUsed)) : fallingOf(Math.max(0, meanUsed));
    return robust((falling - expected - fallingSd.room * off) / fallingSd.stretch);
  });
}

/** How the mean air of two hours lies about what a thermostat has it be when its cooler ran for so long [K, 1 sd]. Assumed. */
const thermostatSdK = 0.4;
const thermostatSteps = (2 * 3_600_000) / gridMs;
/** Part of the time that a cooler runs when its thermostat neither rests nor calls for all of it. */
const within = { low: 0.05, high: 0.95 } as const;

/** Where a known cooler held the air: what its thermostat is set to. */
function thermostatMisses({ grid }: Problem, { used }: RoomCourse, params: RoomParams): Float64Array {
  const blocks = grid.cooler === null ? 0 : Math.floor(grid.steps / thermostatSteps);
  return Float64Array.from({ length: blocks }, (_, block) => {
    const [from, to] = [block * thermostatSteps, (block + 1) * thermostatSteps];
    const meanUsed = meanOf(used.subarray(from, to));
    if (from < burnInBins * stepsPerBin || meanUsed < within.low || meanUsed > within.high) return 0;
    const heldC = params.coolAboveC + meanUsed * params.bandK;
    return robust((meanOf(grid.airC.subarray(from, to)) - heldC) / thermostatSdK);
  });
}

/** Size of swings, on the log scale, and shape of rises; nothing where there are none. */
function swingMisses({ swing, warmOutsideC, grid: { rise, cooler } }: Problem, params: RoomParams): number[] {
  if (cooler !== null) return [0, 0];
  const { airToStructureWPerK: inner, airJPerK, leakWPerK } = params;
  const airS = airJPerK / (inner + leakWPerK);
  const size = swing && Math.log(swing.swingK / swingOf(swing, capacityW(params, warmOutsideC), inner, airS));
  const half = rise && rise.halfMin - halfRiseMin(rise.lengthMin, airS);
  return [robust((size ?? 0) / swingLnSd), robust((half ?? 0) / halfRiseSdMin)];
}

function missesOf(problem: Problem, noise: Noise) {
  const whiten = whitener(noise, problem.awayK);
  return (z: Float64Array): Float64Array => {
    const all = readOff(problem, z);
    const course = courseBy(problem, all);
    const cores = coreMisses(all.params, course, problem.tables);
    const parts = [
      whiten(errorsOf(problem, course)).map(robust),
      cores.map(({ missK, overAirK }) => robust(missK / Math.hypot(coreSdK, coreShare * overAirK))),
      dutyMisses(problem, course, all.params, z[problem.at.off]!),
      thermostatMisses(problem, course, all.params),
      swingMisses(problem, all.params),
      z,
    ];
    const out = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0));
    let place = 0;
    for (const part of parts) {
      out.set(part, place);
      place += part.length;
    }
    return out;
  };
}

/** A room held at a temperature could be held from above or from below; each is tried for so many rounds. */
const triedRounds = 4;

/**
 * Where the search begins: between heater and cooler as the air lies, with gains that have the cooler run as long
 * as its swings say.
 */
function bestStart(problem: Problem, misses: Misses): Float64Array {
  const { binC, outsideC } = problem.grid;
  const air = binC.filter(Number.isFinite).sort();
  const quantile = (share: number) => air[Math.floor(share * (air.length - 1))]!;
  const { params } = readOff(problem, new Float64Array(problem.mean.length));
  const place = (name: RoomParam) => roomParamNames.indexOf(name);
  const lossW =
    lossWPerK(params) * (quantile(0.5) - (outsideC === null ? problem.warmOutsideC : meanOf(outsideC)));
  const neededW = problem.swing && problem.swing.used * capacityW(params, problem.warmOutsideC) + lossW;
  const starts = [
    { cool: quantile(0.5), heat: quantile(0.02) - 0.5 },
    { cool: quantile(0.85), heat: quantile(0.15) },
    { cool: quantile(0.97) + 0.3, heat: quantile(0.5) },
  ]
    .slice(0, problem.grid.cooler === null ? 3 : 1)
    .map(({ cool, heat }) => {
      const z = new Float64Array(problem.mean.length);
      const set = (name: RoomParam, value: number) => {
        const k = place(name);
        z[k] = clamp((value - problem.mean[k]!) / problem.sd[k]!, -3, 3);
      };
      set('coolAboveC', cool);
      set('heatBelowC', heat);
      if (neededW !== null && neededW > 0) set('gainW', Math.log(neededW));
      return descend(misses, z, { rounds: triedRounds });
    });
  return starts.reduce((best, tried) => (tried.squares < best.squares ? tried : best)).parameters;
}

/** Least history that is worth a fit [bins measured]: two days beyond the first hours. */
const leastBins = (2 * 24 * 3_600_000) / binMs;

/**
 * What a room's history tells of it: the parameters under which the room, run over its whole past from its
 * first hours on, has the air that was measured, held towards `prior` (normally `defaultRoom`) by its spread.
 * Errors are taken as persistent (first order, learned) and heavy-tailed. The uncertainty is that of the
 * curvature there, and what a model of two nodes leaves.
 */
export function fitRoom(history: RoomHistory, prior: RoomFit): RoomFit {
  const problem = problemOf(history, prior);
  const measured = problem.grid.binC.subarray(burnInBins).filter(Number.isFinite).length;
  if (measured < leastBins)
    return {
      ...prior,
      notes: [...prior.notes, 'Less than three days of this room were measured: nothing was learned yet.'],
    };

  let noise = firstNoise;
  let z = bestStart(problem, missesOf(problem, noise));
  let curvature = new Float64Array(0);
  for (let pass = 0; pass < 3; pass++) {
    const found = descend(missesOf(problem, noise), z, { rounds: pass === 0 ? 12 : 8 });
    z = Float64Array.from(found.parameters);
    curvature = Float64Array.from(found.curvature);
    noise = noiseOf(errorsOf(problem, courseBy(problem, readOff(problem, z))));
  }
  const n = z.length;
  const inverse = invertSymmetric(curvature, n);
  const covariance = roomParamNames.flatMap((_, row) =>
    roomParamNames.map(
      (name, column) =>
        inverse[row * n + column]! * problem.sd[row]! * problem.sd[column]! +
        (row === column ? (modelLnSd[name] ?? 0) ** 2 : 0),
    ),
  );
  const vector = vectorOf(problem, z);
  const { outside } = readOff(problem, z);
  return {
    mean: vector.slice(0, size),
    covariance,
    residual: asOne(noise),
    trainedDays: Math.round((10 * measured * binMs) / 86_400_000) / 10,
    unloads: problem.tables.length,
    notIdentified: roomParamNames.filter((_, k) => Math.sqrt(inverse[k * n + k]!) > untoldAbove),
    outside:
      outside === null
        ? usualOutside(problem.grid)
        : {
            from: 'learned',
            hoursC: Array.from({ length: 24 }, (_, hour) => learnedOutsideC(outside, hour + 0.5)),
            sdK: 3,
          },
    notes: [],
  };
}

function usualOutside({ outsideC, localHour }: RoomGrid): RoomFit['outside'] {
  const sums = new Float64Array(24);
  const counts = new Float64Array(24);
  outsideC!.forEach((c, step) => {
    sums[Math.floor(localHour[step]!)]! += c;
    counts[Math.floor(localHour[step]!)]! += 1;
  });
  const hoursC = Array.from(sums, (sum, hour) => sum / Math.max(1, counts[hour]!));
  let squares = 0;
  outsideC!.forEach((c, step) => {
    squares += (c - hoursC[Math.floor(localHour[step]!)]!) ** 2;
  });
  return { from: 'sensor', hoursC, sdK: Math.max(0.5, Math.sqrt(squares / outsideC!.length)) };
}
