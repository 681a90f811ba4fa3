import { createExplainedAir } from '../../collector/forecast/explained-air.ts';
import { type Future, futureOf } from '../../collector/forecast/future.ts';
import { rowEndH, rowLengthH } from '../../collector/forecast/rows.ts';
import {
  type DayProfile,
  expectedAirC,
  forecastAir,
  learnHour,
  newDayProfile,
} from '../../shared/air/day-profile.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import { departuresOf, explainedBy, routineOf } from '../../shared/room/explained.ts';
import { departureSdOf } from '../../shared/room/explained-spread.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import type { RoomHistory } from '../../shared/room/history.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import { meanOfKnown } from '../../shared/stats/mean.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { type UnloadCase, unloadRooms } from '../../simulator/studies/unload-rooms.ts';
import { atOnce } from './at-once.ts';
import { historyOf } from './unload-study.ts';

/** Hours ahead that are compared. */
const leadsH = [6, 24, 72] as const;
const utc = () => 0;
const localHour = (t: EpochMs): number => (((t % dayMs) + dayMs) % dayMs) / hourMs;
/** Days that teach before anything is compared; how often the room is learned anew, and a forecast made. */
const taughtDays = 14;
const learnedEveryH = 72;
const askedEveryH = 6;
const pastH = 17 * 24;
/** As the site has it. */
const settlesH = 3 * 24;
const hoursAhead = 96;

const loadsBy = (history: RoomHistory, t: EpochMs) =>
  history.loads
    .filter(({ at }) => at < t)
    .map((load) => ({
      ...load,
      until: load.until !== null && load.until > t ? null : load.until,
      cores: load.cores.filter((core) => core.t < t),
    }));

/** A history as it stood at an instant. */
function knownBy(history: RoomHistory, t: EpochMs): RoomHistory {
  const count = Math.floor((t - history.from) / history.stepMs);
  const before = (values: ArrayLike<number>) => Float64Array.from(values).subarray(0, count);
  return {
    ...history,
    airC: before(history.airC),
    outsideC: history.outsideC && before(history.outsideC),
    loads: loadsBy(history, t),
  };
}

/** What came of one room's forecasts at one lead. */
interface Outcome {
  /** Squared errors of both ways [K2]. */
  present: number[];
  model: number[];
  /** Whether the truth lay in the 80 % band: of the hour, and of the mean over all hours up to it. */
  inHour: Record<Band, boolean[]>;
  inMean: Record<Band, boolean[]>;
}
/** As wide as what the model leaves unexplained, and with what is not known of what it explains. */
type Band = 'unexplained' | 'whole';
/** Of a standard normal, 10 to 90 % lie within. */
const z80 = 1.2816;
const isIn = (errorK: number, sdK: number): boolean => Math.abs(errorK) <= z80 * sdK;

/** Mean of the air to expect over hours ahead, a multiple of the first rows' length. */
function meanAheadC({ tempC }: Future, hours: number): number {
  let sum = 0;
  for (let row = 0; rowEndH[row]! <= hours; row++) sum += tempC[row]! * rowLengthH[row]!;
  return sum / hours;
}

function outcomesIn(study: UnloadCase): Outcome[] {
  const history = historyOf(study);
  const { airC, outsideC } = study.past;
  const { from } = history;
  const hours = Math.floor(airC.length / 60);
  const hourC = Float64Array.from({ length: hours }, (_, hour) =>
    meanOfKnown(airC, 60 * hour, 60 * hour + 60),
  );
  const outsideAt = (t: EpochMs): number => {
    if (outsideC === null) return Number.NaN;
    const minute = Math.floor((t - from) / minuteMs);
    return meanOfKnown(outsideC, minute - 7, minute + 8);
  };
  const prior = defaultRoom(study.floorAreaM2, study.nameplateW ?? undefined);
  const outcomes = leadsH.map(
    (): Outcome => ({
      ...{ present: [], model: [] },
      ...{ inHour: { unexplained: [], whole: [] }, inMean: { unexplained: [], whole: [] } },
    }),
  );
  let plain: DayProfile = newDayProfile();
  let rest: DayProfile = newDayProfile();
  let fit: RoomFit | undefined;
  let nextK = 0;
  const learn = (hour: number, departureK: number): void => {
    const t = from + hour * hourMs;
    const tempC = hourC[hour]!;
    if (!Number.isFinite(tempC)) return;
    plain = learnHour(plain, { t, tempC }, utc);
    rest = learnHour(rest, { t, tempC: tempC - departureK }, utc);
  };
  const departures = (hour: number): { of: EpochMs; k: Float64Array; sdK: () => Float64Array } => {
    const now = from + hour * hourMs;
    const first = from + Math.max(0, hour - pastH) * hourMs;
    const loads = loadsBy(history, now);
    const question = {
      ...{ fit: fit!, from: first, now, hoursAhead, localHour, loads },
      outsideC: (t: EpochMs) => (t < now ? outsideAt(t) : Number.NaN),
    };
    const explained = atOnce(explainedBy(question));
    const routine = routineOf(explained, now, localHour);
    return {
      ...{ of: first, k: departuresOf(explained, routine, now, localHour) },
      sdK: () => atOnce(departureSdOf({ ...question, from: now - settlesH * hourMs }, routine)),
    };
  };
  for (let hour = 0; hour + 72 < hours; hour++) {
    const since = hour - taughtDays * 24;
    if (since >= 0 && since % learnedEveryH === 0) {
      fit = fitRoom(knownBy(history, from + hour * hourMs), prior);
      if (since === 0) {
        // What was learned till now is learned again, as at the first night that knows the room.
        const { of, k } = departures(hour);
        rest = newDayProfile();
        for (let past = 0; past < hour; past++)
          if (Number.isFinite(hourC[past]!))
            rest = learnHour(
              rest,
              { t: from + past * hourMs, tempC: hourC[past]! - (k[past - (of - from) / hourMs] ?? 0) },
              utc,
            );
      }
    }
    if (since >= 0) {
      const { of, k, sdK } = departures(hour);
      const now = hour - (of - from) / hourMs;
      nextK = k[now]!;
      if (since % askedEveryH === 0) {
        const at = from + hour * hourMs;
        const told = createExplainedAir();
        told.tell({ room: '', from: at, departureK: Array.from(k.subarray(now)), sdK: Array.from(sdK()) });
        const left = futureOf(rest, at);
        const whole = told.onTop(left, at);
        leadsH.forEach((lead, index) => {
          const truth = hourC[hour + lead - 1]!;
          if (!Number.isFinite(truth)) return;
          const { present, model, inHour, inMean } = outcomes[index]!;
          const t = at + (lead - 0.5) * hourMs;
          const errorK = expectedAirC(rest, t, utc) + told.at(t) - truth;
          present.push((expectedAirC(plain, t, utc) - truth) ** 2);
          model.push(errorK ** 2);
          const { sdC } = forecastAir(rest, t, utc);
          inHour.unexplained.push(isIn(errorK, sdC));
          inHour.whole.push(isIn(errorK, Math.hypot(sdC, told.sdAt(t, at))));
          const meanErrorK = meanAheadC(whole, lead) - meanOfKnown(hourC, hour, hour + lead);
          inMean.unexplained.push(isIn(meanErrorK, left.sdOver(lead)));
          inMean.whole.push(isIn(meanErrorK, whole.sdOver(lead)));
        });
      }
    }
    learn(hour, since >= 0 ? nextK : 0);
  }
  return outcomes;
}

const rms = (squares: readonly number[]): number =>
  Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / squares.length);
const share = (inside: readonly boolean[]): number => inside.filter(Boolean).length / inside.length;
const middle = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1]!;

/**
 * Hourly means of a room's air foretold 6, 24 and 72 h ahead, in rooms never seen with unloads that nobody scheduled:
 * by the usual day and what is left of the departure from it, and with what the room's model explains of it; and how
 * often they, and means up to them, lie in the 80 % band.
 */
export function futureAirStudy({ rooms, seed, days = 28 }: { rooms: number; seed: number; days?: number }) {
  const perRoom = [...unloadRooms({ count: rooms, seed, days, small: 4 })].map(outcomesIn);
  return leadsH.map((leadH, index) => {
    const own = perRoom.map((room) => room[index]!);
    const all = (way: 'present' | 'model') => rms(own.flatMap((room) => room[way]));
    const typical = (way: 'present' | 'model') => middle(own.map((room) => rms(room[way])));
    const held = (what: 'inHour' | 'inMean', band: Band) => share(own.flatMap((room) => room[what][band]));
    return {
      leadH,
      /** Share of hours, and of means up to them, that lay in the 80 % band. */
      hourHeld: { unexplained: held('inHour', 'unexplained'), whole: held('inHour', 'whole') },
      meanHeld: { unexplained: held('inMean', 'unexplained'), whole: held('inMean', 'whole') },
      /** Over all rooms, and in the middle one [K]. */
      presentK: all('present'),
      modelK: all('model'),
      presentMiddleK: typical('present'),
      modelMiddleK: typical('model'),
      /** Rooms in which the model is no worse. */
      noWorse: own.filter((room) => rms(room.model) <= rms(room.present)).length / rooms,
    };
  });
}
