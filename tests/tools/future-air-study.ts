import { type DayProfile, expectedAirC, learnHour, newDayProfile } from '../../shared/air/day-profile.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import { departuresOf, explainedBy, routineOf } from '../../shared/room/explained.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import type { RoomHistory } from '../../shared/room/history.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import { meanOfKnown } from '../../shared/stats/mean.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { type UnloadCase, unloadRooms } from '../../simulator/studies/unload-rooms.ts';
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

/** Squared errors of both ways at each lead, over one room. */
function errorsIn(study: UnloadCase): { present: number[]; model: number[] }[] {
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
  const errors = leadsH.map(() => ({ present: [] as number[], model: [] as number[] }));
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
  const departures = (hour: number): { of: EpochMs; k: Float64Array } => {
    const now = from + hour * hourMs;
    const first = from + Math.max(0, hour - pastH) * hourMs;
    const loads = loadsBy(history, now);
    const explained = explainedBy({
      ...{ fit: fit!, from: first, now, hoursAhead: 73, localHour, loads },
      outsideC: (t) => (t < now ? outsideAt(t) : Number.NaN),
    });
    const routine = routineOf(explained, now, localHour);
    return { of: first, k: departuresOf(explained, routine, now, localHour) };
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
      const { of, k } = departures(hour);
      const now = hour - (of - from) / hourMs;
      nextK = k[now]!;
      if (since % askedEveryH === 0)
        leadsH.forEach((lead, index) => {
          const truth = hourC[hour + lead - 1]!;
          if (!Number.isFinite(truth)) return;
          const t = from + (hour + lead - 0.5) * hourMs;
          errors[index]!.present.push((expectedAirC(plain, t, utc) - truth) ** 2);
          errors[index]!.model.push((expectedAirC(rest, t, utc) + k[now + lead - 1]! - truth) ** 2);
        });
    }
    learn(hour, since >= 0 ? nextK : 0);
  }
  return errors;
}

const rms = (squares: readonly number[]): number =>
  Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / squares.length);
const middle = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1]!;

/**
 * Hourly means of a room's air foretold 6, 24 and 72 h ahead, in rooms never seen with unloads that nobody scheduled:
 * by the usual day and what is left of the departure from it, and with what the room's model explains of it.
 */
export function futureAirStudy({ rooms, seed, days = 28 }: { rooms: number; seed: number; days?: number }) {
  const perRoom = [...unloadRooms({ count: rooms, seed, days, small: 4 })].map(errorsIn);
  return leadsH.map((leadH, index) => {
    const own = perRoom.map((room) => room[index]!);
    const all = (way: 'present' | 'model') => rms(own.flatMap((room) => room[way]));
    const typical = (way: 'present' | 'model') => middle(own.map((room) => rms(room[way])));
    return {
      leadH,
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
