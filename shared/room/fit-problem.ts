import { meanOf } from '../stats/mean.ts';
import { clamp } from '../stats/range.ts';
import { minuteMs } from '../time.ts';
import { courseOf, type LearnedOutside, type RoomCourse } from './course.ts';
import { type Answers, answersLnSd, usualAnswers } from './driven.ts';
import { type Following, followingOf, type Unseen } from './following.ts';
import { binMs, gridMs, gridOf, type RoomGrid, type RoomHistory, stepsPerBin } from './history.ts';
import { type LoadTable, tableOf } from './load-table.ts';
import type { Noise } from './noise.ts';
import { fromVector, type RoomParam, type RoomParams, roomParamNames } from './params.ts';
import type { RoomFit } from './room-fit.ts';
import { middleSwing, type Swing } from './swings.ts';

/** The first hours are for the structure to find its temperature; they are not compared. */
export const burnInBins = (18 * 3_600_000) / binMs;
/** Outside air of which no sensor tells: what is thought of it before [K, 1 sd]. Assumed. */
const outsideMeanSdK = 6;
const outsideSwingLnSd = 0.6;
const outsideSwingK = 5;
/** Heat of bags against what is told of it, 1 sd of the log: what strains and mixes make of a kilogram. Assumed. */
const bagsLnSd = 0.35;
/** A past as a search for a room's parameters takes it. */
export interface Problem {
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
  /** What the miss of each bin counts. */
  counts: Float64Array;
  /** What has to be found along the way where the cooler is known; null where it is not. */
  unseen: Unseen | null;
  /** Prior mean and sd of each number searched for: the room's, then those of which `at` tells the places. */
  mean: number[];
  sd: number[];
  at: {
    /** Mean and ln swing of outside air; null where a sensor tells it. */
    outside: number | null;
    /** How cooler and sensor answer; null where nothing tells when the cooler ran. */
    answers: number | null;
    /** Ln of the heat of bags against what is told of it; null where no bags are told of. */
    bags: number | null;
    /** How far this room's swings lie off the usual line; no part of the answer. */
    off: number;
  };
}

const size = roomParamNames.length;

/**
 * How much warmer or colder it is about a room than anybody tells [K, 1 sd]: by the weather of the day where no sensor
 * stands outside, and where one does by neighbours and doors. Assumed.
 */
const unseenSdK = { untold: 3, told: 1 } as const;

/** By what is thought of the room before: the search is to find its losses, and is not to be helped by them. */
function unseenOf({ binC, outsideC, cooler }: RoomGrid, mean: readonly number[]): Unseen | null {
  if (cooler === null) return null;
  const { leakWPerK, structureToOutsideWPerK } = fromVector(mean);
  const perBin = binMs / minuteMs / cooler.stepMin;
  return {
    perK: { airW: leakWPerK, wallW: structureToOutsideWPerK },
    sdK: outsideC === null ? unseenSdK.untold : unseenSdK.told,
    asMeasured: Uint8Array.from(binC, (_, bin) =>
      Number(cooler.on.subarray(bin * perBin, (bin + 1) * perBin).some(Number.isNaN)),
    ),
  };
}

/**
 * With a cooler that is known, what the air does in the first hours of a load is the room's answer to it, which is
 * what an unload asks about; with another its thermostat has a hand in it. Set on simulated rooms.
 */
const answering = { bins: (2 * 3_600_000) / binMs, counts: 2 } as const;

function countsOf({ binC, cooler }: RoomGrid, tables: readonly LoadTable[]): Float64Array {
  const counts = new Float64Array(binC.length).fill(1);
  if (cooler === null) return counts;
  for (const { first } of tables) {
    const bin = Math.floor(first / stepsPerBin);
    counts.fill(answering.counts, bin, bin + answering.bins);
  }
  return counts;
}

export function problemOf(history: RoomHistory, prior: RoomFit): Problem {
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
    bags: grid.bagsW.some((bagsW) => bagsW > 0) ? more({ mean: 0, sd: bagsLnSd }) : null,
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
    counts: countsOf(grid, tables),
    unseen: unseenOf(grid, mean),
  };
}

/** The numbers searched for, of their places in their priors. */
export const vectorOf = ({ mean, sd }: Problem, z: ArrayLike<number>): number[] =>
  mean.map((middle, k) => middle + sd[k]! * z[k]!);

/** What such numbers say. */
export interface ReadOff {
  params: RoomParams;
  outside: LearnedOutside | null;
  answers: Answers | null;
  /** Heat of bags against what is told of it. */
  bagsFactor: number;
}

export function readOff(problem: Problem, z: ArrayLike<number>): ReadOff {
  const vector = vectorOf(problem, z);
  const { outside, answers, bags } = problem.at;
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
    bagsFactor: bags === null ? 1 : Math.exp(vector[bags]!),
  };
}

/** The room's course that such numbers give: held to its air by `following`, else with a thermostat for its cooler. */
export const courseBy = (
  { grid, tables }: Problem,
  { params, outside, answers, bagsFactor }: ReadOff,
  following: Following | null = null,
): RoomCourse => {
  const bagsW = bagsFactor === 1 ? grid.bagsW : grid.bagsW.map((told) => bagsFactor * told);
  return courseOf(
    params,
    outside,
    { ...grid, bagsW },
    tables,
    answers && following && { answers, following },
  );
};

/**
 * How a room near those of a search is held to its air; null where its cooler is not known.
 * @param unsettled how much more than usual is unseen about it
 */
export function followingBy(
  { unseen, awayK }: Problem,
  { params, answers }: ReadOff,
  noise: Noise,
  unsettled: number,
): Following | null {
  if (unseen === null || answers === null) return null;
  const its = { ...unseen, sdK: unsettled * unseen.sdK };
  return followingOf(params, answers.readMin, { unseen: its, noise, awayK });
}
