import { clamp } from '../stats/range.ts';
import { invertSymmetric } from '../stats/symmetric.ts';
import { coreMisses, courseOf, type LearnedOutside, learnedOutsideC, type RoomCourse } from './course.ts';
import { descend, type Misses } from './gauss-newton.ts';
import { binMs, gridMs, gridOf, type RoomGrid, type RoomHistory, stepsPerBin } from './history.ts';
import { type LoadTable, tableOf } from './load-table.ts';
import { capacityW, lossWPerK } from './model.ts';
import { asOne, firstNoise, type Noise, noiseOf, whitener } from './noise.ts';
import { fromVector, type RoomParam, type RoomParams, roomParamNames } from './params.ts';
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
/** Beyond so many standard deviations a bin counts by its distance, not its square: a door left open, a failure. */
const robustAt = 2.5;
/** Outside air of which no sensor tells: what is thought of it before [K, 1 sd]. Assumed. */
const outsideMeanSdK = 6;
const outsideSwingLnSd = 0.6;
const outsideSwingK = 5;
/** A parameter whose spread history left at this part of what it was is not told by it. */
const untoldAbove = 0.85;

/** Squares up to `robustAt`, distances beyond, as a residual whose square is that. */
const robust = (z: number): number => {
  const size = Math.abs(z);
  return size <= robustAt ? z : Math.sign(z) * Math.sqrt(robustAt * (2 * size - robustAt));
};

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
  /** Prior mean and sd of each number searched for: the room's, then mean and ln swing of outside air. */
  mean: number[];
  sd: number[];
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
  if (grid.outsideC === null) {
    const { hoursC } = prior.outside;
    mean.push(hoursC.reduce((sum, c) => sum + c, 0) / 24, Math.log(outsideSwingK));
    sd.push(outsideMeanSdK, outsideSwingLnSd);
  }
  // Last comes how far this room's swings lie off the usual line; it is no part of the answer.
  mean.push(0);
  sd.push(1);
  const tables = history.loads.flatMap((load) => tableOf(load, grid) ?? []);
  const middleC = quantile(0.5);
  // Where it neither clearly cools nor clearly heats, swings could be of either.
  const coolsAboveC = (quantile(0.6) + quantile(0.05)) / 2;
  const ofCooler = grid.duties.filter(
    ({ from, to }) => from >= burnInBins * stepsPerBin && meanOf(grid.airC.subarray(from, to)) > coolsAboveC,
  );
  const outsideC = grid.outsideC ?? prior.outside.hoursC;
  return {
    ...{ grid, tables, prior, mean, sd },
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

function readOff(
  problem: Problem,
  z: ArrayLike<number>,
): { params: RoomParams; outside: LearnedOutside | null } {
  const vector = vectorOf(problem, z);
  const outside =
    vector.length > size + 1
      ? { meanC: vector[size]!, swingK: Math.exp(clamp(vector[size + 1]!, -3, 3)) }
      : null;
  return { params: fromVector(vector), outside };
}

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
    const expected = heats ? 1 - fallingOf(Math.max(0, -meanUsed)) : fallingOf(Math.max(0, meanUsed));
    return robust((falling - expected - fallingSd.room * off) / fallingSd.stretch);
  });
}

/** Size of swings, on the log scale, and shape of rises; nothing where there are none. */
function swingMisses({ swing, warmOutsideC, grid: { rise } }: Problem, params: RoomParams): number[] {
  const { airToStructureWPerK: inner, airJPerK, leakWPerK } = params;
  const airS = airJPerK / (inner + leakWPerK);
  const size = swing && Math.log(swing.swingK / swingOf(swing, capacityW(params, warmOutsideC), inner, airS));
  const half = rise && rise.halfMin - halfRiseMin(rise.lengthMin, airS);
  return [robust((size ?? 0) / swingLnSd), robust((half ?? 0) / halfRiseSdMin)];
}

function missesOf(problem: Problem, noise: Noise) {
  const whiten = whitener(noise, problem.awayK);
  return (z: Float64Array): Float64Array => {
    const { params, outside } = readOff(problem, z);
    const course = courseOf(params, outside, problem.grid, problem.tables);
    const errors = whiten(errorsOf(problem, course)).map(robust);
    const cores = coreMisses(params, course, problem.tables);
    const duties = dutyMisses(problem, course, params, z[z.length - 1]!);
    const out = new Float64Array(errors.length + cores.length + duties.length + z.length + 2);
    out.set(errors);
    cores.forEach(({ missK, overAirK }, k) => {
      out[errors.length + k] = robust(missK / Math.hypot(coreSdK, coreShare * overAirK));
    });
    out.set(duties, errors.length + cores.length);
    out.set(z, errors.length + cores.length + duties.length);
    out.set(swingMisses(problem, params), out.length - 2);
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
  ].map(({ cool, heat }) => {
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
    const { params, outside } = readOff(problem, z);
    noise = noiseOf(errorsOf(problem, courseOf(params, outside, problem.grid, problem.tables)));
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
