import { doseRate, heatAllowanceHours, remembered } from '../../shared/growth/dose.ts';
import { thermalOf } from '../../shared/heat/container.ts';
import { createLoad, largestCount } from '../../shared/heat/load.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import type { PastLoad, RoomHistory } from '../../shared/room/history.ts';
import {
  aroundLoadC,
  followStructure,
  loadInput,
  ownGains,
  roomRun,
  settledRoom,
} from '../../shared/room/model.ts';
import type { RoomParams } from '../../shared/room/params.ts';
import {
  drawRooms,
  isWorkingHour,
  meanRoom,
  type RoomFit,
  usualOutsideC,
  weatherLastsMs,
} from '../../shared/room/room-fit.ts';
import { meanOfKnown } from '../../shared/stats/mean.ts';
import { normalDraws } from '../../shared/stats/normal-draws.ts';
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts';
import { planUnload } from '../../shared/unload/plan.ts';
import type { PlanInput, StandingCohort } from '../../shared/unload/plan-input.ts';
import { createConduction } from '../../simulator/bag/conduction.ts';
import {
  type RecordedUnload,
  type RoomPast,
  type UnloadCase,
  type UnloadTruth,
  unloadRooms,
} from '../../simulator/studies/unload-rooms.ts';

const smoothMin = 15;
const localHour = (t: number) => (t % dayMs) / hourMs;

/** Highest mean of a quarter of an hour, and the minute of its middle. */
function peakOf(minutes: ArrayLike<number>): { tempC: number; atMin: number } {
  let sum = 0;
  let peak = { tempC: Number.NEGATIVE_INFINITY, atMin: 0 };
  for (let i = 0; i < minutes.length; i++) {
    sum += minutes[i]! - (i >= smoothMin ? minutes[i - smoothMin]! : 0);
    if (i >= smoothMin - 1 && sum / smoothMin > peak.tempC)
      peak = { tempC: sum / smoothMin, atMin: i + 1 - smoothMin / 2 };
  }
  return peak;
}

/** @param coolerTold whether something tells when the cooler runs */
export const historyOf = (
  { farm, past }: Pick<UnloadCase, 'farm' | 'past'>,
  coolerTold = false,
): RoomHistory => ({
  from: past.from,
  stepMs: minuteMs,
  airC: past.airC,
  outsideC: past.outsideC,
  bagsW: null,
  coolerOn: coolerTold ? past.coolerOn : null,
  localHour,
  loads: past.unloads.map(
    (unload): PastLoad => ({
      at: unload.at,
      until: unload.takenAwayAt,
      load: loadOf(farm, unload),
      cores: unload.cores,
    }),
  ),
});

const loadOf = (farm: UnloadCase['farm'], { container, count, startC }: RecordedUnload) => ({
  thermal: thermalOf(farm.containers.find(({ id }) => id === container)!),
  count,
  startC,
});

/** Outside air from now on: the usual day, and what is left of today's departure from it. */
function outsideAhead(fit: RoomFit, past: RoomPast, t: number): number {
  const usual = usualOutsideC(fit, localHour(t));
  if (past.outsideC === null) return usual;
  const now = past.from + past.outsideC.length * minuteMs;
  const lastC = meanOfKnown(past.outsideC.slice(-30));
  return usual + (lastC - usualOutsideC(fit, localHour(now))) * Math.exp(-(t - now) / weatherLastsMs);
}

export interface Course {
  airC: Float64Array;
  /** Minute in which the core meets `readyC`; Infinity when it does not. */
  readyMin: number;
}

const readyC = 30;

/** Structure behind the air that was measured over the last two days. */
function structureNow(params: RoomParams, fit: RoomFit, past: RoomPast): number {
  const minutes = Math.min(past.airC.length, 2 * 24 * 60);
  const first = past.airC.length - minutes;
  let structureC = settledRoom(
    params,
    meanOfKnown(past.airC.slice(first, first + 240)),
    meanOfKnown(fit.outside.hoursC),
  ).structureC;
  for (let i = first; i + 5 <= past.airC.length; i += 5) {
    const airC = meanOfKnown(past.airC.slice(i, i + 5));
    if (!Number.isFinite(airC)) continue;
    const outsideC = past.outsideC?.[i] ?? usualOutsideC(fit, localHour(past.from + i * minuteMs));
    structureC = followStructure(
      params,
      structureC,
      { airC, outsideC: Number.isFinite(outsideC) ? outsideC : 15 },
      300,
    );
  }
  return structureC;
}

function predict(params: RoomParams, fit: RoomFit, study: UnloadCase, coolerTold: boolean): Course {
  const { past, unload, farm } = study;
  const { count } = unload;
  const minutes = study.truth.airC.length;
  // As the planner does: where it is known whether the cooler runs, from where the air is in its swings.
  const start = {
    airC: meanOfKnown(past.airC.slice(coolerTold ? -5 : -15)),
    structureC: structureNow(params, fit, past),
    ...(coolerTold ? { used: past.coolerOn.at(-1)! } : {}),
  };
  const run = roomRun(params, start, 60);
  const load = createLoad({
    ...loadOf(farm, unload),
    count,
    filmFactor: params.filmFactor,
    heatFactor: params.heatFactor,
    conductionFactor: params.conductionFactor,
    airC: start.airC,
  });
  const airC = new Float64Array(minutes);
  let readyMin = Number.POSITIVE_INFINITY;
  for (let minute = 0; minute < minutes; minute++) {
    const t = unload.at + minute * minuteMs;
    const skin = { radiantShare: load.radiantShare(run.airC), skinC: load.skinC() };
    const loadW = load.step(aroundLoadC(params, run, skin.radiantShare), 60);
    const { heatW, structureW } = loadInput(params, loadW, skin, run);
    const own = ownGains(params, isWorkingHour(localHour(t)));
    run.step(outsideAhead(fit, past, t), own.airW + heatW, own.wallW + structureW, 1);
    airC[minute] = run.airC;
    if (readyMin === Number.POSITIVE_INFINITY && load.coreC() <= readyC) readyMin = minute;
  }
  return { airC, readyMin };
}

const quantile = (sorted: readonly number[], share: number) =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!;

export interface Score {
  rise: { truth: number; likely: number; low: number; high: number };
  at: { truth: number; likely: number; low: number; high: number };
  ready: { truth: number; likely: number; low: number; high: number };
  fit: RoomFit;
  mean: RoomParams;
  tookMs: number;
}

/** The question that the farm would put to the planner as the load comes in, with nothing standing in the room. */
function questionOf(study: UnloadCase, fit: RoomFit, more: Partial<PlanInput> = {}): PlanInput {
  const { farm, past, unload } = study;
  const stepMs = 5 * minuteMs;
  const steps = Math.min(2 * 288, Math.floor(past.airC.length / 5));
  const first = past.airC.length - 5 * steps;
  const every5 = (values: Float64Array) =>
    Float64Array.from({ length: steps }, (_, k) =>
      meanOfKnown(values.slice(first + 5 * k, first + 5 * k + 5)),
    );
  const { container, count, startC, at } = unload;
  return {
    room: study.room,
    load: { container, count, startC },
    container: farm.containers.find(({ id }) => id === container)!,
    options: { fan: false, extraCoolingW: 0 },
    ...{ now: at, at, fit, limits: [], cohorts: [], earlier: [], inoculateBelowC: readyC, localHour },
    recent: {
      firstT: past.from + first * minuteMs + stepMs,
      stepMs,
      airC: every5(past.airC),
      outsideC: past.outsideC === null ? new Float64Array(steps).fill(Number.NaN) : every5(past.outsideC),
    },
    ...more,
  };
}

function scoreOf(study: UnloadCase, coolerTold: boolean, draws = 60): Score {
  const { past, truth } = study;
  const before = performance.now();
  const fit = fitRoom(
    historyOf(study, coolerTold),
    defaultRoom(study.floorAreaM2, study.nameplateW ?? undefined),
  );
  const tookMs = performance.now() - before;
  const baseC = meanOfKnown(past.airC.slice(-60));
  const truly = peakOf(truth.airC);
  const normal = normalDraws(study.seed);
  const keep = Math.exp(-60 / fit.residual.lastsS);
  const fresh = fit.residual.sdK * Math.sqrt(1 - keep * keep);
  const rises: number[] = [];
  const times: number[] = [];
  const readies: number[] = [];
  for (const params of drawRooms(fit, draws, study.seed)) {
    const { airC, readyMin } = predict(params, fit, study, coolerTold);
    let noise = 0;
    const noisy = airC.map((c) => {
      noise = keep * noise + fresh * normal();
      return c + noise;
    });
    const peak = peakOf(noisy);
    rises.push(peak.tempC - baseC);
    times.push(peak.atMin);
    readies.push(readyMin);
  }
  const spread = (values: number[], truth: number, likely: number) => {
    values.sort((a, b) => a - b);
    return { truth, likely, low: quantile(values, 0.1), high: quantile(values, 0.9) };
  };
  // As the planner does: what is likely is read off the course in which all is as it is held most likely.
  const mean = meanRoom(fit);
  const best = predict(mean, fit, study, coolerTold);
  const bestPeak = peakOf(best.airC);
  const readyTruth = truth.coreC.findIndex((c) => c <= readyC);
  return {
    rise: spread(rises, truly.tempC - baseC, bestPeak.tempC - baseC),
    at: spread(times, truly.atMin, bestPeak.atMin),
    ready: spread(readies, readyTruth < 0 ? Number.POSITIVE_INFINITY : readyTruth, best.readyMin),
    ...{ fit, mean, tookMs },
  };
}

interface Counted {
  rooms: number;
  /** Shares of the rooms in which it is near enough. */
  rise: number;
  time: number;
  core: number;
  /** Shares of the rooms in which the truth lay in the 80 % band. */
  riseHeld: number;
  timeHeld: number;
  coreHeld: number;
  /** Of the rooms with a sensor outside alone: how many they are, and the share in which the rise is near enough. */
  outside: { rooms: number; rise: number };
  /** Median rise of the room that truly was [K]. */
  typicalRiseK: number;
}

/** How near predictions must come: a part of the truth, or so many kelvins of the rise, whichever is more. */
const goals = { trained: { part: 0.15, leastK: 1 }, first: { part: 0.3, leastK: 2.5 } } as const;
/** A quarter of an hour's mean does not tell its time any better than this [min]. */
const leastTimeMin = 15;

/** Unloads in rooms never seen: after three small ones, or the first that a room ever sees. */
export function unloadStudy(question: {
  rooms: number;
  seed: number;
  trained: boolean;
  /** Something tells when the cooler runs; no unless given. */
  coolerTold?: boolean;
  days?: number;
  draws?: number;
}): Counted {
  const { part, leastK } = question.trained ? goals.trained : goals.first;
  const small = question.trained ? 3 : 0;
  const near = { rise: 0, time: 0, core: 0, riseHeld: 0, timeHeld: 0, coreHeld: 0 };
  const rises: number[] = [];
  let cores = 0;
  const outside = { rooms: 0, rise: 0 };
  for (const study of unloadRooms({
    count: question.rooms,
    seed: question.seed,
    days: question.days ?? 14,
    small,
  })) {
    const { rise, at, ready } = scoreOf(study, question.coolerTold ?? false, question.draws);
    const held = ({ truth, low, high }: Score['rise']) => Number(truth >= low && truth <= high);
    const off = ({ truth, likely }: Score['rise']) => Math.abs(likely - truth);
    rises.push(rise.truth);
    const riseNear = Number(off(rise) <= Math.max(leastK, part * rise.truth));
    near.rise += riseNear;
    if (study.past.outsideC !== null) {
      outside.rooms += 1;
      outside.rise += riseNear;
    }
    near.time += Number(off(at) <= Math.max(leastTimeMin, part * at.truth));
    near.riseHeld += held(rise);
    near.timeHeld += held(at);
    if (!Number.isFinite(ready.truth)) continue;
    cores += 1;
    near.core += Number(off(ready) <= 0.1 * ready.truth);
    near.coreHeld += held(ready);
  }
  rises.sort((a, b) => a - b);
  const { rooms } = question;
  return {
    ...{ rooms, rise: near.rise / rooms, time: near.time / rooms, core: near.core / cores },
    ...{ riseHeld: near.riseHeld / rooms, timeHeld: near.timeHeld / rooms, coreHeld: near.coreHeld / cores },
    outside: { rooms: outside.rooms, rise: outside.rise / outside.rooms },
    typicalRiseK: rises[rises.length >> 1]!,
  };
}

/** What bags on the shelves of a room stand, over what its thermostat holds [K]. */
const warmOverSetK = 5;
const heatOverSetK = 9;

/** Bags of grain stand on each shelf, of a species that suits the room but not much more. */
function cohortsIn({ farm, shelvesAboveK, built }: UnloadCase): StandingCohort[] {
  const container = farm.containers.find(({ id }) => id === 'bag')!;
  const setC = built.thermostat.coolAboveC;
  return shelvesAboveK.map((shelfAboveRoomK, k) => ({
    ...{ cohort: `B${k}`, batch: `B${k}`, shelf: `R${k + 1}`, rack: 'R', container, shelfAboveRoomK },
    ...{ coreC: setC + shelfAboveRoomK, warmLimitC: setC + warmOverSetK, heatLimitC: setC + heatOverSetK },
    memoryHours: 0,
  }));
}

/** True exposure of the worst-off bag, as a part of what it is held to stand, by the simulator's own conduction. */
function worstShare(study: UnloadCase, { shelvesC }: UnloadTruth): number {
  const shares = cohortsIn(study).map(({ container, coreC, warmLimitC, heatLimitC }, k) => {
    const conduction = createConduction(container, 0.3, 8, 60);
    const tempsC = conduction.shares.map(() => coreC);
    let memory = 0;
    let most = 0;
    for (const airC of shelvesC[k]!) {
      conduction.step(tempsC, airC, 0);
      memory = remembered(memory, doseRate(tempsC[0]!, warmLimitC, heatLimitC), 1 / 60);
      most = Math.max(most, memory);
    }
    return most / heatAllowanceHours;
  });
  return Math.max(...shares);
}

/** The planner's largest load, carried out: how often it harms nothing, and how often half as much again does. */
export function adviceStudy(question: { rooms: number; seed: number }) {
  let asked = 0;
  let kept = 0;
  let broken = 0;
  for (const study of unloadRooms({ count: question.rooms, seed: question.seed, days: 14, small: 3 })) {
    const fit = fitRoom(historyOf(study), defaultRoom(study.floorAreaM2, study.nameplateW ?? undefined));
    const { largest } = planUnload(questionOf(study, fit, { cohorts: cohortsIn(study) })).advice;
    const more = Math.ceil(1.5 * largest.count);
    // Nothing at all, or more than a farm has, is no advice that could be carried out.
    if (largest.count < 2 || more > largestCount) continue;
    asked += 1;
    kept += Number(worstShare(study, study.carryOut(largest.count)) <= 1);
    broken += Number(worstShare(study, study.carryOut(more)) > 1);
  }
  return { asked, kept: kept / asked, broken: broken / asked };
}
