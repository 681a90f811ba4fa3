import { meanOf } from '../stats/mean.ts';
import { clamp } from '../stats/range.ts';
import { invertSymmetric } from '../stats/symmetric.ts';
import { learnedOutsideC } from './course.ts';
import { errorsOf, missesOf, unsettledBy } from './fit-misses.ts';
import {
  burnInBins,
  courseBy,
  followingBy,
  type Problem,
  problemOf,
  readOff,
  vectorOf,
} from './fit-problem.ts';
import { descend, type Misses } from './gauss-newton.ts';
import { binMs, type RoomGrid, type RoomHistory } from './history.ts';
import { capacityW, lossWPerK } from './model.ts';
import { asOne, firstNoise, noiseOf } from './noise.ts';
import { type RoomParam, roomParamNames } from './params.ts';
import type { RoomFit } from './room-fit.ts';

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
  filmFactor: 0.05,
  heatFactor: 0.02,
  radiantFactor: 0.05,
};
/** What is learned from when a cooler ran is surer, from how it swings less sure, by these factors. Set on simulated rooms. */
const byRuns = 0.65;
const bySwings = 1.15;
/** Far less sure is what it gives against the room's own gains where neither is known: air told every few minutes shows no swings. */
const byNeither = 2.2;
const balanced: ReadonlySet<RoomParam> = new Set(['coolingW', 'gainW']);
/** What a room loses is hard to tell from what it is given where nobody knows the weather [1 sd of the log]. Set on simulated rooms. */
const lossLnSd = 0.4;
const losses: ReadonlySet<RoomParam> = new Set(['structureToOutsideWPerK', 'leakWPerK']);
/** Of loads cores tell, whatever the cooler does. */
const ofLoads: ReadonlySet<RoomParam> = new Set(['filmFactor', 'heatFactor']);

function modelVariance(name: RoomParam, { grid, swing }: Problem): number {
  const sd = modelLnSd[name] ?? 0;
  if (grid.cooler !== null)
    return grid.outsideC === null && losses.has(name) ? lossLnSd ** 2 : (byRuns * sd) ** 2;
  if (ofLoads.has(name)) return sd ** 2;
  return (sd * (swing === null && balanced.has(name) ? byNeither : bySwings)) ** 2;
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
  const besideW = lossW - meanOf(problem.grid.bagsW);
  const neededW = problem.swing && problem.swing.used * capacityW(params, problem.warmOutsideC) + besideW;
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
  let unsettled = 1;
  const followingAt = (z: Float64Array) => followingBy(problem, readOff(problem, z), noise, unsettled);
  let z = bestStart(problem, missesOf(problem, noise, followingAt(new Float64Array(problem.mean.length))));
  let curvature = new Float64Array(0);
  for (let pass = 0; pass < 3; pass++) {
    const following = followingAt(z);
    // The first two are for what errors are like, and need not come to rest.
    const how = pass < 2 ? { rounds: pass === 0 ? 12 : 8, enough: 1e-3 } : { rounds: 8 };
    const found = descend(missesOf(problem, noise, following), z, how);
    z = Float64Array.from(found.parameters);
    curvature = Float64Array.from(found.curvature);
    noise = noiseOf(errorsOf(problem, courseBy(problem, readOff(problem, z), following)));
    unsettled = unsettledBy(problem, readOff(problem, z), noise);
  }
  const n = z.length;
  const inverse = invertSymmetric(curvature, n);
  const covariance = roomParamNames.flatMap((_, row) =>
    roomParamNames.map(
      (name, column) =>
        inverse[row * n + column]! * problem.sd[row]! * problem.sd[column]! +
        (row === column ? modelVariance(name, problem) : 0),
    ),
  );
  const vector = vectorOf(problem, z);
  const found = readOff(problem, z);
  const { outside, bagsFactor } = found;
  // Nobody knows beforehand when the cooler will run: what a prediction misses is what a thermostat's course does.
  const foretold = courseBy(problem, found);
  return {
    mean: vector.slice(0, roomParamNames.length),
    covariance,
    residual: asOne(noiseOf(errorsOf(problem, foretold))),
    trainedDays: Math.round((10 * measured * binMs) / 86_400_000) / 10,
    unloads: problem.tables.length,
    ...(problem.grid.coolerSignal === null ? {} : { coolerSignal: problem.grid.coolerSignal }),
    notIdentified: roomParamNames.filter((_, k) => Math.sqrt(inverse[k * n + k]!) > untoldAbove),
    outside:
      outside === null
        ? usualOutside(problem.grid)
        : {
            from: 'learned',
            hoursC: Array.from({ length: 24 }, (_, hour) => learnedOutsideC(outside, hour + 0.5)),
            sdK: 3,
          },
    ...(history.bagsW === null
      ? {}
      : { bags: { factor: bagsFactor, endW: bagsFactor * problem.grid.bagsW.at(-1)! } }),
    notes: strangeWords(problem.grid.strangeH),
  };
}

const strangeWords = (hours: number): string[] =>
  hours < 0.5
    ? []
    : [
        `For ${Math.round(hours)} h its cooler ran in vain, or its air was far below the usual: those hours taught nothing.`,
      ];

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
