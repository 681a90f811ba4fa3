import { filmFactorRange } from '../heat/film.ts';
import { createLoad, type Load } from '../heat/load.ts';
import { meanOf } from '../stats/mean.ts';
import { clamp } from '../stats/range.ts';
import { type EpochMs, hourMs } from '../time.ts';
import type { PastLoad } from './history.ts';
import { aroundLoadC, loadInput, ownGains, roomRun, settledRoom } from './model.ts';
import type { RoomParams } from './params.ts';
import { isWorkingHour, meanRoom, type RoomFit, usualOutsideC, weatherLastsMs } from './room-fit.ts';
import { bagsBesideW, withBags } from './with-bags.ts';

/** What a room has been through and what is known of the hours to come. */
export interface ExplainQuestion {
  fit: RoomFit;
  /** Beginning of an hour, some days before the first hour that is asked about. */
  from: EpochMs;
  /** Until here it happened; an hour's beginning. */
  now: EpochMs;
  hoursAhead: number;
  /** Outside air at an instant as a sensor told it [°C]; NaN where none did. */
  outsideC: (t: EpochMs) => number;
  /** Hot loads that have come in so far, in the running hour too. */
  loads: readonly PastLoad[];
  /** Heat that bags in the room give now [W], taken as that of all days; null, or left out, where nobody knows. */
  bagsW?: number | null;
  localHour: (t: EpochMs) => number;
  /** The room without its bags, where it is another than the likeliest. */
  room?: RoomParams;
  /** How far outside air turns out to lie off what is expected of it, by hours from now [K]. */
  outsideOffK?: ArrayLike<number>;
}

/** How far a room's model says that its air lies from its usual day, mean of each hour from `from` on [K]. */
export interface Explained {
  from: EpochMs;
  /** For the weather's sake, and that of the loads. */
  weatherK: Float64Array;
  loadsK: Float64Array;
}

const stepS = 900;
const stepMs = 1000 * stepS;
const stepsPerHour = hourMs / stepMs;
const substepS = 300;
/** Days in which a room that begins anywhere finds its usual day. */
const settlingDays = 6;
/** The weather's departure from its usual day is told by so many hours (assumed). */
const toldByHours = 6;
/** Loads are not felt for longer. */
const feltMs = 48 * hourMs;

interface Standing {
  past: PastLoad;
  load: Load;
}

/** A run of the room that nothing holds to what was measured. */
function freeRun(room: RoomParams, outsideC: number, localHour: (t: EpochMs) => number) {
  const run = roomRun(room, settledRoom(room, room.coolAboveC, outsideC), stepS, substepS);
  const gains = [ownGains(room, false), ownGains(room, true)] as const;
  return {
    /** Mean air of the hour that begins at `t`. */
    hour(t: EpochMs, outsideAt: (t: EpochMs) => number, standing: readonly Standing[]): number {
      let sum = 0;
      for (let step = 0; step < stepsPerHour; step++) {
        const begins = t + step * stepMs;
        const own = gains[isWorkingHour(localHour(begins + stepMs / 2)) ? 1 : 0];
        let [airW, wallW] = [0, 0];
        for (const { past, load } of standing) {
          if (past.at > begins || (past.until ?? Number.POSITIVE_INFINITY) <= begins) continue;
          const skin = { radiantShare: load.radiantShare(run.airC), skinC: load.skinC() };
          const loadW = load.step(aroundLoadC(room, run, skin.radiantShare), stepS);
          const given = loadInput(room, loadW, skin, run);
          airW += given.heatW;
          wallW += given.structureW;
        }
        run.step(outsideAt(begins + stepMs / 2), own.airW + airW, own.wallW + wallW, 1);
        sum += run.airC / stepsPerHour;
      }
      return sum;
    },
  };
}

/** Mean air of each hour of a usual day: usual weather, no loads. */
function usualDay(room: RoomParams, fit: RoomFit): Float64Array {
  const ofDay = (t: EpochMs) => (t / hourMs) % 24;
  const run = freeRun(room, fit.outside.hoursC[0]!, ofDay);
  const outside = (t: EpochMs) => usualOutsideC(fit, ofDay(t));
  const hours = new Float64Array(24);
  for (let hour = 0; hour < 24 * settlingDays; hour++)
    hours[hour % 24] = run.hour(hour * hourMs, outside, []);
  return hours;
}

/** Weather as it was measured, and from `now` on its usual day with what is left of today's departure. */
function weather(question: ExplainQuestion): (t: EpochMs) => number {
  const { fit, from, now, outsideC, localHour, outsideOffK = [] } = question;
  const usual = (t: EpochMs) => usualOutsideC(fit, localHour(t));
  let sum = 0;
  let count = 0;
  for (let t = Math.max(from, now - toldByHours * hourMs) + stepMs / 2; t < now; t += stepMs) {
    const departureK = outsideC(t) - usual(t);
    if (!Number.isFinite(departureK)) continue;
    sum += departureK;
    count += 1;
  }
  const nowK = count === 0 ? 0 : sum / count;
  return (t) => {
    if (t >= now)
      return (
        usual(t) +
        nowK * Math.exp((now - t) / weatherLastsMs) +
        (outsideOffK[Math.floor((t - now) / hourMs)] ?? 0)
      );
    const measuredC = outsideC(t);
    return Number.isFinite(measuredC) ? measuredC : usual(t);
  };
}

/**
 * What of a room's departure from its usual day its model explains: the room run freely through weather and loads,
 * with its thermostat, less the same without loads, less its usual day. What it does not explain is left to those
 * who watched the air. Pauses after each day, so that others have their turn.
 */
export function* explainedBy(question: ExplainQuestion): Generator<undefined, Explained> {
  const { fit, from, now, hoursAhead, localHour } = question;
  const room = withBags(question.room ?? meanRoom(fit), bagsBesideW(fit, question.bagsW));
  const usual = usualDay(room, fit);
  const outside = weather(question);
  const { low, high } = filmFactorRange;
  const standing = question.loads
    .filter(({ at }) => at >= from)
    .map((past): Standing => {
      const filmFactor = clamp(room.filmFactor * (past.filmTimes ?? 1), low, high);
      const until = Math.min(past.until ?? Number.POSITIVE_INFINITY, past.at + feltMs);
      return {
        past: { ...past, until },
        load: createLoad({ ...past.load, filmFactor, heatFactor: room.heatFactor }),
      };
    });
  const startC = usualOutsideC(fit, localHour(from));
  const [alone, loaded] = [freeRun(room, startC, localHour), freeRun(room, startC, localHour)];
  const hours = Math.round((now - from) / hourMs) + hoursAhead;
  const weatherK = new Float64Array(hours);
  const loadsK = new Float64Array(hours);
  for (let hour = 0; hour < hours; hour++) {
    const t = from + hour * hourMs;
    const aloneC = alone.hour(t, outside, []);
    weatherK[hour] = aloneC - usual[Math.floor(localHour(t + hourMs / 2)) % 24]!;
    loadsK[hour] = standing.length === 0 ? 0 : loaded.hour(t, outside, standing) - aloneC;
    if (hour % 24 === 23) yield;
  }
  return { from, weatherK, loadsK };
}

/** Hours of the day's loads are remembered for so many days, as its air is. */
const routineDays = 14;
/** Within so many hours what stands there now tells more than what days usually have [h] (assumed). */
const soonH = 6;

/** Mean distance from the mean, times 1.2533 to read as a standard deviation: squares listen to the wildest. */
export function spreadOf(values: readonly number[]): number {
  const middle = meanOf(values);
  return 1.2533 * meanOf(values.map((value) => Math.abs(value - middle)));
}

/** What loads did to each hour of the local day: mean and standard deviation over days [K]. */
export interface LoadRoutine {
  meanK: Float64Array;
  sdK: Float64Array;
}

/** What they did over the last two weeks before `now`. */
export function routineOf(
  { from, loadsK }: Explained,
  now: EpochMs,
  localHour: (t: EpochMs) => number,
): LoadRoutine {
  const ofHours = Array.from({ length: 24 }, (): number[] => []);
  for (let t = Math.max(from, now - routineDays * 24 * hourMs); t < now; t += hourMs)
    ofHours[Math.floor(localHour(t + hourMs / 2)) % 24]!.push(loadsK[(t - from) / hourMs]!);
  const meanK = Float64Array.from(ofHours, (days) => (days.length === 0 ? 0 : meanOf(days)));
  const sdK = Float64Array.from(ofHours, (days) => (days.length < 2 ? 0 : spreadOf(days)));
  return { meanK, sdK };
}

/** How much of an hour's loads is known: all of what is over, and ahead less and less. */
export const knownOf = (t: EpochMs, now: EpochMs): number =>
  t < now ? 1 : Math.exp((now - t) / (soonH * hourMs));

/**
 * How far the air lies, and is to lie, from its usual day by what the model explains [K], each hour from `from` on.
 * Farms unload at their hours, so a usual day has something of a load in it. Of what is known of loads the difference
 * to that counts; further ahead others may come, and only what stands there beyond the usual does.
 */
export const departuresOf = (
  { from, weatherK, loadsK }: Explained,
  routine: LoadRoutine,
  now: EpochMs,
  localHour: (t: EpochMs) => number,
): Float64Array =>
  weatherK.map((ofWeatherK, hour) => {
    const t = from + hour * hourMs;
    const differenceK = loadsK[hour]! - routine.meanK[Math.floor(localHour(t + hourMs / 2)) % 24]!;
    const known = knownOf(t, now);
    return ofWeatherK + known * differenceK + (1 - known) * Math.max(0, differenceK);
  });
