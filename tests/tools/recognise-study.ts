import { defaultRoom } from '../../shared/room/default-room.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import { normalDraws } from '../../shared/stats/normal-draws.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { isNews } from '../../shared/unload/asked-before.ts';
import { type Recognised, recogniseUnload } from '../../shared/unload/recognise.ts';
import { takenBack } from '../../shared/unload/taken-back.ts';
import { coolingFailures, normalWeeks, type RoomStretch } from '../../simulator/studies/cooling-failures.ts';
import { type UnloadCase, unloadRooms } from '../../simulator/studies/unload-rooms.ts';
import { historyOf } from './unload-study.ts';

/** As the collector looks: each five minutes at minutes of the last eight hours. */
const windowMin = 480;
const lookEveryMin = 5;
/** Of a wired sensor. */
const sensorSdK = 0.04;
/** When the collector fits a room. */
const fitAtMs = 2 * hourMs;
const localHour = (t: EpochMs): number => (t % dayMs) / hourMs;

interface Heard {
  from: EpochMs;
  /** Each minute [°C]; NaN where nothing was said. */
  airC: Float64Array;
  /** Outside air of the same minutes where a sensor tells it. */
  outsideC?: Float64Array | null;
  /** What the last night taught. */
  fitAt: (minute: number) => RoomFit;
}

/** A question, and whether the room's later course spoke against it. */
export interface Question extends Recognised {
  askedAt: EpochMs;
  takenBack: boolean;
}

/** Questions that would be asked of a room from a minute on, looked at each five minutes. */
export function questionsOf({ from, airC, outsideC, fitAt }: Heard, firstMin: number): Question[] {
  const asked: Question[] = [];
  for (let minute = Math.max(windowMin, firstMin); minute < airC.length; minute += lookEveryMin) {
    const now = from + minute * minuteMs;
    const window = [minute - windowMin, minute + 1] as const;
    const air = {
      firstT: now - windowMin * minuteMs,
      stepMs: minuteMs,
      airC: airC.subarray(...window),
      outsideC: outsideC?.subarray(...window) ?? new Float64Array(0),
    };
    for (const one of asked) one.takenBack ||= takenBack(air, one.at, now) !== null;
    const seen = recogniseUnload({ air, fit: fitAt(minute), localHour, now });
    if (seen !== null && isNews(seen, asked)) asked.push({ ...seen, askedAt: now, takenBack: false });
  }
  return asked;
}

/** What the room's own sensor said, minute by minute. */
function heardOf({ from, until, readings }: RoomStretch): Float64Array {
  const airC = new Float64Array(Math.round((until - from) / minuteMs) + 1).fill(Number.NaN);
  for (const { channel, t, tempC } of readings) {
    const minute = Math.round((t - from) / minuteMs);
    if (channel === 'air.temperature' && minute >= 0 && minute < airC.length) airC[minute] = tempC;
  }
  return airC;
}

/** What a past without loads teaches of a room. */
export function fitOf(
  { farm, room, from }: Pick<RoomStretch, 'farm' | 'room' | 'from'>,
  airC: Float64Array,
): RoomFit {
  const area = farm.rooms.find(({ id }) => id === room)!.floorAreaM2!;
  const history = {
    from,
    stepMs: minuteMs,
    airC,
    outsideC: null,
    bagsW: null,
    coolerOn: null,
    loads: [],
    localHour,
  };
  return fitRoom(history, defaultRoom(area));
}

/** What a sensor would say of true air. */
export function saidOf(airC: Float64Array, seed: number): Float64Array {
  const noise = normalDraws(seed);
  return airC.map((tempC) => Math.round(10 * (tempC + sensorSdK * noise())) / 10);
}

/** A room with what its sensor would say of the last unload, of which the study gives the truth. */
function heardOfUnloads({ past, truth, seed }: UnloadCase): Float64Array {
  return Float64Array.from([...past.airC, ...saidOf(truth.airC, seed)]);
}

/** Fits of the nights before each unload, with loads before it known, each from that night on. */
function nightlyFits(study: UnloadCase): (minute: number) => RoomFit {
  const { past, unload, floorAreaM2, nameplateW } = study;
  const whole = historyOf(study);
  const nights = [...past.unloads, unload].map(({ at }, before) => {
    const night = Math.floor(at / dayMs) * dayMs + fitAtMs;
    const minutes = Math.round((night - past.from) / minuteMs);
    const history = {
      ...whole,
      airC: past.airC.slice(0, minutes),
      outsideC: past.outsideC?.slice(0, minutes) ?? null,
      loads: whole.loads.slice(0, before),
    };
    return { from: minutes, fit: fitRoom(history, defaultRoom(floorAreaM2, nameplateW ?? undefined)) };
  });
  return (minute) => (nights.findLast(({ from }) => minute >= from) ?? nights[0]!).fit;
}

const highest = (values: Float64Array): number => Math.max(...values.filter(Number.isFinite));

export interface RecogniseStudy {
  /** Unloads that took the air 1.5 K past all of the five hours before, and how many were asked about. */
  visible: number;
  recognised: number;
  /** Unloads in all, and those asked about: many small ones stay within what the room does anyway. */
  all: number;
  recognisedOfAll: number;
  /** From the load's coming to the question [min]. */
  medianDelayMin: number;
  wrongPerWeek: number;
  /** How many were asked wrongly, and of these and of those about a load, how many were taken back. */
  wrong: number;
  wrongTakenBack: number;
  rightTakenBack: number;
  weeks: number;
  failures: number;
  /** Cooler failures taken for a load, and those asked about with the doubt whether the cooler has stopped. */
  failuresTaken: number;
  failuresDoubted: number;
}

/** A question belongs to an unload that came so near its time. */
export const belongs = (asked: Recognised, at: EpochMs): boolean =>
  asked.at > at - 20 * minuteMs && asked.at < at + 25 * minuteMs;

/** Unloads, ordinary weeks and cooler failures in rooms never seen, looked at as the collector would. */
export function recogniseStudy(size: {
  rooms: number;
  weeks: number;
  failures: number;
  days: number;
  seed: number;
}): RecogniseStudy {
  const { rooms, weeks, failures, days, seed } = size;
  let [visible, recognised, all, recognisedOfAll, rightTakenBack, watchedMin] = [0, 0, 0, 0, 0, 0];
  const wrong: Question[] = [];
  const delays: number[] = [];
  for (const study of unloadRooms({ count: rooms, seed, days, small: 3 })) {
    const { past, unload } = study;
    const airC = heardOfUnloads(study);
    const outsideC = past.outsideC;
    const asked = questionsOf({ from: past.from, airC, outsideC, fitAt: nightlyFits(study) }, windowMin);
    const unloads = [...past.unloads, unload];
    for (const { at } of unloads) {
      const minute = Math.round((at - past.from) / minuteMs);
      const seen = asked.find((one) => belongs(one, at));
      const before = highest(airC.subarray(Math.max(0, minute - 300), minute));
      const shows = highest(airC.subarray(minute, minute + 120)) - before >= 1.5;
      all++;
      visible += shows ? 1 : 0;
      if (seen === undefined) continue;
      rightTakenBack += seen.takenBack ? 1 : 0;
      if (seen.takenBack) continue;
      recognisedOfAll++;
      recognised += shows ? 1 : 0;
      delays.push((seen.askedAt - at) / minuteMs);
    }
    const during = (t: EpochMs): boolean =>
      unloads.some(({ at, takenAwayAt }) => t > at - 20 * minuteMs && t < (takenAwayAt ?? at + dayMs));
    wrong.push(...asked.filter(({ at }) => !during(at)));
    watchedMin += airC.length;
  }
  for (const week of normalWeeks({ count: weeks, seed })) {
    const airC = heardOf(week);
    const learnMin = Math.round(airC.length * 0.6);
    const fit = fitOf(week, airC.subarray(0, learnMin));
    wrong.push(...questionsOf({ from: week.from, airC, fitAt: () => fit }, windowMin));
    watchedMin += airC.length;
  }
  let [failuresTaken, failuresDoubted] = [0, 0];
  for (const failure of coolingFailures({ count: failures, seed, daysBefore: 4 })) {
    const airC = heardOf(failure);
    const failsMin = Math.round((failure.failsAt! - failure.from) / minuteMs);
    const fit = fitOf(failure, airC.subarray(0, failsMin));
    const asked = questionsOf({ from: failure.from, airC, fitAt: () => fit }, failsMin - 60).filter(
      ({ at }) => at > failure.failsAt! - 20 * minuteMs,
    );
    failuresTaken += asked.some(({ orStopped }) => !orStopped) ? 1 : 0;
    failuresDoubted += asked.length > 0 && asked.every(({ orStopped }) => orStopped) ? 1 : 0;
  }
  delays.sort((a, b) => a - b);
  const weeksWatched = watchedMin / (7 * 24 * 60);
  return {
    ...{
      visible,
      recognised,
      all,
      recognisedOfAll,
      weeks: weeksWatched,
      failures,
      failuresTaken,
      failuresDoubted,
    },
    medianDelayMin: delays[delays.length >> 1] ?? Number.NaN,
    wrongPerWeek: wrong.length / weeksWatched,
    wrong: wrong.length,
    wrongTakenBack: wrong.filter((one) => one.takenBack).length,
    rightTakenBack,
  };
}
