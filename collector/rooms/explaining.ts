import { roomAirChannels } from '../../shared/air/room-channels.ts';
import { type Farm, outsidePlace } from '../../shared/farm/farm.ts';
import { fanFilm } from '../../shared/heat/film.ts';
import { departuresOf, explainedBy, routineOf } from '../../shared/room/explained.ts';
import { isTaught, type RoomsKnown } from '../../shared/room/rooms-known.ts';
import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import type { RoomDepartures } from '../forecast/explained-air.ts';
import type { StoreHistory } from '../store/history.ts';
import { pastLoads, type RecordedLoad } from './past.ts';

/** A usual day is learned from about so long a past; a room that begins anywhere has settled some days later. */
const pastMs = 17 * dayMs;
const settlesMs = 3 * dayMs;
/** So far ahead a room's present state is told from its usual day. */
const hoursAhead = 96;
const outsideStepMs = hourMs / 4;

interface ExplainingNeeds {
  now: () => EpochMs;
  farm: () => Farm;
  known: RoomsKnown;
  loads: () => readonly RecordedLoad[];
  history: Pick<StoreHistory, 'readMinutes'>;
  tell: (departures: RoomDepartures) => void;
  onProblem: (thrown: unknown) => void;
}

/** Tells forecasts what rooms that taught what they are say of their air: of the past once, then of what lies ahead. */
export function createExplaining(needs: ExplainingNeeds) {
  const { now, farm, known, loads, history, tell, onProblem } = needs;
  /** What loads usually do in each hour of the day, of rooms whose past was told, and when that was worked out. */
  const routines = new Map<string, { at: EpochMs; routineK: Float64Array }>();

  /** Outside air, mean of each quarter of an hour [°C]; NaN where no sensor told it. */
  const outsideFrom = (from: EpochMs, until: EpochMs): ((t: EpochMs) => number) => {
    const sums = new Map<number, { sum: number; count: number }>();
    for (const { id } of roomAirChannels(farm(), outsidePlace)) {
      const { t, mean } = history.readMinutes(id, from, until);
      t.forEach((at, index) => {
        const step = Math.floor(at / outsideStepMs);
        const { sum, count } = sums.get(step) ?? { sum: 0, count: 0 };
        sums.set(step, { sum: sum + mean[index]!, count: count + 1 });
      });
    }
    return (t) => {
      const met = sums.get(Math.floor(t / outsideStepMs));
      return met === undefined ? Number.NaN : met.sum / met.count;
    };
  };

  const lookAt = (room: string, t: EpochMs, outside: (whole: boolean) => (t: EpochMs) => number): void => {
    const fit = known.fitAt(room, t);
    if (fit === null || !isTaught(fit)) return;
    const hour = Math.floor(t / hourMs) * hourMs;
    const told = routines.get(room);
    const renews = told === undefined || !(t - told.at < dayMs);
    const from = hour - (renews ? pastMs : 0) - settlesMs;
    const { localHour } = known;
    const explained = explainedBy({
      ...{ fit, from, now: hour, hoursAhead, outsideC: outside(renews), localHour },
      loads: pastLoads(
        farm(),
        loads().filter((load) => load.room === room && load.at <= t),
        fanFilm.factor,
      ),
    });
    const routineK = renews ? routineOf(explained, hour, localHour) : told.routineK;
    if (renews) routines.set(room, { at: t, routineK });
    const departureK = departuresOf(explained, routineK, hour, localHour);
    // Hours that are over stay as they were told: forecasts of all bags hang on them.
    const since = told === undefined ? from + settlesMs : hour;
    tell({ room, from: since, departureK: Array.from(departureK.subarray((since - from) / hourMs)) });
  };

  const look = (): void => {
    const t = now();
    const spans = new Map<boolean, (t: EpochMs) => number>();
    const outside = (whole: boolean): ((t: EpochMs) => number) => {
      const read = spans.get(whole) ?? outsideFrom(t - (whole ? pastMs : 0) - settlesMs - hourMs, t);
      spans.set(whole, read);
      return read;
    };
    for (const room of farm().rooms.keys())
      try {
        lookAt(room, t, outside);
      } catch (thrown) {
        onProblem(thrown);
      }
  };

  return {
    /** To be called each hour, when a room was learned, and when a load comes, goes or is told of. */
    look,
    /** Tells everything once more, to a forecaster that knows nothing. */
    again(): void {
      routines.clear();
      look();
    },
  };
}
