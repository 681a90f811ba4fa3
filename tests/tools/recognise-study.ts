import { defaultRoom } from '../../shared/room/default-room.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { type Recognised, recogniseUnload } from '../../shared/unload/recognise.ts';
import { coolingFailures, normalWeeks, type RoomStretch } from '../../simulator/studies/cooling-failures.ts';
import { unloadRooms } from '../../simulator/studies/unload-rooms.ts';
import { historyOf } from './unload-study.ts';

const windowMin = 360;
const stepMin = 5;
/** A question again within this of the last one would not be asked. */
const sameMs = 6 * hourMs;
const localHour = (t: EpochMs): number => (t % dayMs) / hourMs;

interface Heard {
  from: EpochMs;
  /** Each minute [°C]; NaN where nothing was said. */
  airC: Float64Array;
  /** Outside air of the same minutes where a sensor tells it. */
  outsideC?: Float64Array | null;
  fit: RoomFit;
}

/** Means of five minutes each, as the collector keeps them; NaN where nothing was said. */
function meansOf(airC: Float64Array, from: number, until: number): Float64Array {
  return Float64Array.from({ length: (until - from) / stepMin + 1 }, (_, step) => {
    const end = from + step * stepMin + 1;
    const said = airC.subarray(Math.max(0, end - stepMin), end).filter(Number.isFinite);
    return said.length === 0 ? Number.NaN : said.reduce((sum, tempC) => sum + tempC, 0) / said.length;
  });
}

/** Questions that would be asked of a room from a minute on, looked at each five minutes. */
function questionsOf(
  { from, airC, outsideC, fit }: Heard,
  firstMin: number,
): (Recognised & { askedAt: EpochMs })[] {
  const asked: (Recognised & { askedAt: EpochMs })[] = [];
  for (let minute = Math.max(windowMin, firstMin); minute < airC.length; minute += stepMin) {
    const window = meansOf(airC, minute - windowMin, minute);
    const now = from + minute * minuteMs;
    const air = {
      firstT: now - windowMin * minuteMs,
      stepMs: stepMin * minuteMs,
      airC: window,
      outsideC: meansOf(outsideC ?? new Float64Array(0), minute - windowMin, minute),
    };
    const seen = recogniseUnload({ air, fit, localHour, now });
    const last = asked[asked.length - 1];
    if (seen !== null && (last === undefined || seen.at - last.at > sameMs))
      asked.push({ ...seen, askedAt: now });
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

function fitOf(stretch: RoomStretch, airC: Float64Array): RoomFit {
  const area = stretch.farm.rooms[0]!.floorAreaM2!;
  const history = {
    from: stretch.from,
    stepMs: minuteMs,
    airC,
    outsideC: null,
    bagsW: null,
    loads: [],
    localHour,
  };
  return fitRoom(history, defaultRoom(area));
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
  weeks: number;
  failures: number;
  failuresAsked: number;
}

/** A question belongs to an unload that came so near its time. */
const belongs = (asked: Recognised, at: EpochMs): boolean =>
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
  let [visible, recognised, all, recognisedOfAll, wrong, watchedMin] = [0, 0, 0, 0, 0, 0];
  const delays: number[] = [];
  for (const study of unloadRooms({ count: rooms, seed, days, small: 3 })) {
    const { past, unload, truth } = study;
    const fit = fitRoom(historyOf(study), defaultRoom(study.floorAreaM2, study.nameplateW ?? undefined));
    const airC = Float64Array.from([...past.airC, ...truth.airC]);
    const asked = questionsOf({ from: past.from, airC, outsideC: past.outsideC, fit }, windowMin);
    const unloads = [...past.unloads, unload];
    for (const { at } of unloads) {
      const minute = Math.round((at - past.from) / minuteMs);
      const seen = asked.find((one) => belongs(one, at));
      const before = highest(airC.subarray(Math.max(0, minute - 300), minute));
      const shows = highest(airC.subarray(minute, minute + 120)) - before >= 1.5;
      all++;
      visible += shows ? 1 : 0;
      if (seen === undefined) continue;
      recognisedOfAll++;
      recognised += shows ? 1 : 0;
      delays.push((seen.askedAt - at) / minuteMs);
    }
    const during = (t: EpochMs): boolean =>
      unloads.some(({ at, takenAwayAt }) => t > at - 20 * minuteMs && t < (takenAwayAt ?? at + dayMs));
    wrong += asked.filter(({ at }) => !during(at)).length;
    watchedMin += airC.length;
  }
  for (const week of normalWeeks({ count: weeks, seed })) {
    const airC = heardOf(week);
    const learnMin = Math.round(airC.length * 0.6);
    wrong += questionsOf(
      { from: week.from, airC, fit: fitOf(week, airC.subarray(0, learnMin)) },
      windowMin,
    ).length;
    watchedMin += airC.length;
  }
  let failuresAsked = 0;
  for (const failure of coolingFailures({ count: failures, seed, daysBefore: 4 })) {
    const airC = heardOf(failure);
    const failsMin = Math.round((failure.failsAt! - failure.from) / minuteMs);
    const fit = fitOf(failure, airC.subarray(0, failsMin));
    const asked = questionsOf({ from: failure.from, airC, fit }, failsMin - 60);
    failuresAsked += asked.some(({ at }) => at > failure.failsAt! - 20 * minuteMs) ? 1 : 0;
  }
  delays.sort((a, b) => a - b);
  const weeksWatched = watchedMin / (7 * 24 * 60);
  return {
    ...{ visible, recognised, all, recognisedOfAll, weeks: weeksWatched, failures, failuresAsked },
    medianDelayMin: delays[delays.length >> 1] ?? Number.NaN,
    wrongPerWeek: wrong / weeksWatched,
  };
}
