import { meanOf } from '../stats/mean.ts';
import { coreMisses, type RoomCourse } from './course.ts';
import { burnInBins, courseBy, followingBy, type Problem, type ReadOff, readOff } from './fit-problem.ts';
import type { Following } from './following.ts';
import { gridMs, stepsPerBin } from './history.ts';
import { capacityW } from './model.ts';
import { type Noise, whitener } from './noise.ts';
import type { RoomParams } from './params.ts';
import { robust } from './robust.ts';
import { fallingOf, fallingSd, halfRiseMin, halfRiseSdMin, swingLnSd, swingOf } from './swing-laws.ts';

/**
 * A core thermometer and where in the container it was held [K, 1 sd], and how containers differ, as a part of
 * what the core is over the air. Assumed.
 */
const coreSdK = 0.6;
const coreShare = 0.05;
/** Measured less predicted air of each bin [K]; NaN where none was measured, and in the first hours. */
export const errorsOf = (problem: Problem, { binC }: RoomCourse): Float64Array =>
  binC.map((airC, bin) => (bin < burnInBins ? Number.NaN : problem.grid.binC[bin]! - airC));

/** Swings of the thermostat against how long the room has its cooler run; `off` is this room's own lie off the line. */
function dutyMisses(
  { grid, dutyAirC }: Problem,
  { used }: RoomCourse,
  { coolAboveC, heatBelowC }: RoomParams,
  off: number,
): Float64Array {
  const sums = new Float64Array(used.length + 1);
  for (let step = 0; step < used.length; step++) sums[step + 1] = sums[step]! + (used[step]! || 0);
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
    // Of no number where the cooler of any step is not known.
    const meanUsed = meanOf(used.subarray(from, to));
    if (from < burnInBins * stepsPerBin || !(meanUsed >= within.low && meanUsed <= within.high)) return 0;
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

/**
 * How much more than usual may be unseen about a room, and what is thought of it before [1 sd of the log]. Assumed; no
 * less, for swings are given more room than they need, and would seem to leave none to the weather.
 */
const unsettledTried = [1, 1.8, 3.3] as const;
const unsettledLnSd = 1;

/** How much more than usual was unseen about a room, as its air is least surprising by; 1 where its cooler is not known. */
export function unsettledBy(problem: Problem, all: ReadOff, noise: Noise): number {
  let best = { unsettled: 1, cost: Number.POSITIVE_INFINITY };
  for (const unsettled of problem.unseen === null ? [] : unsettledTried) {
    const following = followingBy(problem, all, noise, unsettled)!;
    const { surprises } = courseBy(problem, all, following);
    let cost = (Math.log(unsettled) / unsettledLnSd) ** 2;
    for (let bin = burnInBins; bin < surprises!.length; bin++)
      if (surprises![bin] !== 0) cost += robust(surprises![bin]!) ** 2 + 2 * Math.log(following.sdsK[bin]!);
    if (cost < best.cost) best = { unsettled, cost };
  }
  return best.unsettled;
}

/**
 * All that a room with certain numbers misses of its past, each in its standard deviations, the priors among it. One
 * that is followed is asked by how much each bin surprised.
 */
export function missesOf(problem: Problem, noise: Noise, following: Following | null) {
  const whiten = whitener(noise, problem.awayK);
  return (z: Float64Array): Float64Array => {
    const all = readOff(problem, z);
    const course = courseBy(problem, all, following);
    const air = course.surprises?.fill(0, 0, burnInBins) ?? whiten(errorsOf(problem, course));
    const cores = coreMisses(all.params, course, problem.tables);
    const parts = [
      air.map((sds, bin) => problem.counts[bin]! * robust(sds)),
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
