import { jointAir } from '../../shared/air/joint-air.ts';
import { roomAirChannels } from '../../shared/air/room-channels.ts';
import { type Farm, outsidePlace } from '../../shared/farm/farm.ts';
import { fanFilm } from '../../shared/heat/film.ts';
import { departuresOf, explainedBy, type LoadRoutine, routineOf } from '../../shared/room/explained.ts';
import { departureSdOf } from '../../shared/room/explained-spread.ts';
import { isTaught, type RoomsKnown } from '../../shared/room/rooms-known.ts';
import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import type { RoomDepartures } from '../forecast/explained-air.ts';
import { inTurns } from '../in-turns.ts';
import { bySteps } from '../store/by-steps.ts';
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
  known: Pick<RoomsKnown, 'fitAt' | 'bagsW' | 'localHour'>;
  /** When what is known of a room was learned. */
  learnedAt: (room: string, t: EpochMs) => EpochMs | null;
  loads: () => readonly RecordedLoad[];
  history: Pick<StoreHistory, 'readMinutes'>;
  /** When forecasts were last told of a room, before a restart too; null before they ever were. */
  toldAt: (room: string) => EpochMs | null;
  tell: (departures: RoomDepartures) => void;
  /** Lets others have their turn. */
  pause: () => Promise<void>;
  onProblem: (thrown: unknown) => void;
}

const hourOf = (t: EpochMs): EpochMs => Math.floor(t / hourMs) * hourMs;
/** What is told is put down, and thousandths of a kelvin are more than anyone knows. */
const rounded = (k: number): number => Math.round(1000 * k) / 1000;

/**
 * Tells forecasts what rooms that taught what they are say of their air: of the past once, then of what lies ahead.
 * Tens of milliseconds a room, worked out in turns of few.
 */
export function createExplaining(needs: ExplainingNeeds) {
  const { now, farm, known, learnedAt, loads, history, toldAt, tell, pause, onProblem } = needs;
  /** What loads usually do in each hour of the day, and when that was worked out. */
  const routines = new Map<string, { at: EpochMs; routine: LoadRoutine }>();
  let running: Promise<void> | null = null;
  let asked = false;
  let closed = false;

  /**
   * Outside air from an hour's beginning on, mean of each quarter of an hour [°C]; NaN where no sensor told it.
   * @param levelAt the level is that of sensors that told in the day before
   */
  const outsideFrom = async (
    from: EpochMs,
    until: EpochMs,
    levelAt: EpochMs,
  ): Promise<(t: EpochMs) => number> => {
    const stepAt = (t: EpochMs): number => Math.floor((t - from) / outsideStepMs);
    const series: Float64Array[] = [];
    for (const { id } of roomAirChannels(farm(), outsidePlace)) {
      const values = new Float64Array(stepAt(until) + 1);
      for (let day = from; day <= until; day += dayMs) {
        const first = stepAt(day);
        const end = Math.min(until, day + dayMs);
        const steps = Math.min(values.length, stepAt(day + dayMs)) - first;
        values.set(
          bySteps(history.readMinutes(id, day, end), steps, (t) => stepAt(t) - first),
          first,
        );
        await pause();
      }
      series.push(values);
    }
    const airC = jointAir(series, hourMs / outsideStepMs, stepAt(levelAt));
    return (t) => airC[stepAt(t)] ?? Number.NaN;
  };

  const lookAt = async (room: string, t: EpochMs): Promise<void> => {
    const fit = known.fitAt(room, t);
    if (fit === null || !isTaught(fit)) return;
    const hour = hourOf(t);
    const before = routines.get(room);
    const renews = before === undefined || !(t - before.at < dayMs);
    // Hours that are over stay as they were told: forecasts of all bags hang on them. Those in which nobody told are
    // told now.
    const last = toldAt(room);
    const since = Math.max(hour - pastMs, last === null ? 0 : Math.min(hour, hourOf(last) + hourMs));
    const from = (renews ? hour - pastMs : since) - settlesMs;
    const { localHour } = known;
    const question = {
      ...{ fit, from, now: hour, hoursAhead, localHour },
      // Sensors that do not all speak are taken together as they were when the fit learned what is usual outside.
      outsideC: await outsideFrom(from, t, learnedAt(room, t) ?? t),
      bagsW: known.bagsW(room, t),
      loads: pastLoads(
        farm(),
        loads().filter((load) => load.room === room && load.at <= t),
        fanFilm.factor,
      ),
    };
    const explained = await inTurns(explainedBy(question), pause);
    const routine = renews ? routineOf(explained, hour, localHour) : before.routine;
    if (renews) routines.set(room, { at: t, routine });
    const departureK = departuresOf(explained, routine, hour, localHour).subarray((since - from) / hourMs);
    const sdK = new Float64Array(departureK.length);
    const spread = departureSdOf({ ...question, from: hour - settlesMs }, routine);
    sdK.set(await inTurns(spread, pause), (hour - since) / hourMs);
    if (!closed)
      tell({ room, from: since, departureK: Array.from(departureK, rounded), sdK: Array.from(sdK, rounded) });
  };

  const lookAtAll = async (): Promise<void> => {
    // Whoever tells that something happened is not to wait for it.
    await pause();
    while (asked && !closed) {
      asked = false;
      const t = now();
      for (const room of farm().rooms.keys())
        try {
          if (!closed) await lookAt(room, t);
        } catch (thrown) {
          if (!closed) onProblem(thrown);
        }
    }
    running = null;
  };

  return {
    /**
     * To be called each hour, when a room was learned, and when a load comes, goes or is told of. Asked while it is at
     * work, it looks once more. Never rejects.
     */
    look(): Promise<void> {
      asked = true;
      running ??= lookAtAll();
      return running;
    },
    async close(): Promise<void> {
      closed = true;
      await running;
    },
  };
}
