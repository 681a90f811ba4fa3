import type { Database } from 'better-sqlite3';
import type { Farm } from '../../shared/farm/farm.ts';
import { fanFilm } from '../../shared/heat/film.ts';
import { createLocalHour } from '../../shared/local-hour.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import { taughtWords } from '../../shared/room/taught.ts';
import { roomFigures, roomWords } from '../../shared/room/words.ts';
import { type Cancel, type Clock, dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import type { RoomPage } from '../../shared/unloads.ts';
import type { StoreHistory } from '../store/history.ts';
import { assumedRoom } from './assumed.ts';
import { createFitThread } from './fit-apart.ts';
import { createFitBook } from './fit-book.ts';
import type { HeatBoard } from './heat-board.ts';
import { pastOf, type RecordedLoad } from './past.ts';
import { createRoomsKnown } from './rooms-known.ts';

/** Rooms are learned in this hour of the local night, when a site has least to do. */
const learnsAtHour = 2;
/** What was learned longer ago than this is learned again at once, when a site starts. */
const staleMs = 1.5 * dayMs;

export interface RoomLearnerParts {
  database: Database;
  clock: Clock;
  farm: () => Farm;
  history: Pick<StoreHistory, 'readMinutes' | 'readStates'>;
  /** Unloads on record, those underway included. */
  loads: () => readonly RecordedLoad[];
  /** Heat that bags give to rooms, by the hour. */
  bagHeat: Pick<HeatBoard, 'look' | 'atW'>;
  onLearned: (room: string) => void;
  onProblem: (text: string, thrown?: unknown) => void;
}

/** Learns each room of a farm every night from its last thirty days, in a thread of its own, and knows what was learned. */
export function createRoomLearner(parts: RoomLearnerParts) {
  const { database, clock, farm, history, loads, bagHeat, onLearned, onProblem } = parts;
  const book = createFitBook(database);
  let cancel: Cancel = () => {};
  let closed = false;
  let busy: Promise<void> | undefined;
  let thread: ReturnType<typeof createFitThread> | undefined;
  let lastNight = Number.NEGATIVE_INFINITY;

  const endThread = async (): Promise<void> => {
    const ended = thread;
    thread = undefined;
    await ended?.close();
  };
  const learnOne = async (room: string): Promise<void> => {
    const now = clock.now();
    const past = pastOf({
      ...{ farm: farm(), room, now, history, fanFilm: fanFilm.factor },
      loads: loads(),
      bagsW: (t) => bagHeat.atW(room, t),
    });
    if (past === null) return;
    thread ??= createFitThread();
    const { timeZone } = farm().file.site;
    const answer = await thread.fit({ room, timeZone, past, prior: assumedRoom(farm(), room) });
    if (closed) return;
    if ('problem' in answer) onProblem(`Room ${room} could not be learned: ${answer.problem}`);
    else if (answer.fit.trainedDays > 0) {
      book.keep(room, now, answer.fit);
      onLearned(room);
    }
  };
  const learn = async (rooms: readonly string[]): Promise<void> => {
    await bagHeat.look();
    for (const room of rooms) {
      if (closed) break;
      try {
        await learnOne(room);
      } catch (thrown) {
        if (!closed) onProblem(`Room ${room} could not be learned`, thrown);
        // The next room gets a thread of its own, in case this one was lost.
        await endThread();
      }
    }
    // A thread holds memory: none lives on between nights.
    await endThread();
  };
  const begin = (rooms: readonly string[]): void => {
    if (rooms.length === 0 || closed) return;
    busy ??= learn(rooms).finally(() => {
      busy = undefined;
    });
  };
  const all = () => [...farm().rooms.keys()];
  const learned = (room: string, knownBy = clock.now()) => book.newest(room, knownBy);

  return {
    /** What is known of a room now, or was at an instant: learned where it was, else assumed. */
    fitOf: (room: string, knownBy?: EpochMs): RoomFit =>
      learned(room, knownBy)?.fit ?? assumedRoom(farm(), room),
    /** What alarms go by: what was learned by then, and nothing that is only assumed. */
    known: createRoomsKnown({ book, farm, loads, bagsW: bagHeat.atW }),
    /** When what was known of a room at an instant had been learned; null before anything was. */
    learnedAt: book.learnedAt,
    /** What a person may read of it. */
    page(room: string): Omit<RoomPage, 'unloads' | 'denied'> {
      const known = learned(room);
      const fit = known?.fit ?? assumedRoom(farm(), room);
      const words = roomWords(fit, bagHeat.atW(room, clock.now()));
      return {
        ...{ room, words, learnedAt: known?.learnedAt ?? null, days: fit.trainedDays },
        figures: roomFigures(fit),
        residualSdK: known === undefined ? null : fit.residual.sdK,
        notes: fit.notes,
      };
    },
    /** What the first night after an instant changed in what is held of a room, in words; empty before it. */
    taughtAfter(room: string, t: EpochMs): string[] {
      const after = book.firstAfter(room, t);
      return after === undefined
        ? []
        : taughtWords(book.newest(room, t)?.fit ?? assumedRoom(farm(), room), after.fit);
    },
    /** Learns what is missing or stale, told when that is done, then every night. */
    async start(): Promise<void> {
      const now = clock.now();
      begin(all().filter((room) => (learned(room)?.learnedAt ?? Number.NEGATIVE_INFINITY) < now - staleMs));
      lastNight = now;
      cancel = clock.every(hourMs / 4, () => {
        const t: EpochMs = clock.now();
        const localHour = createLocalHour(farm().file.site.timeZone)(t);
        if (Math.floor(localHour) !== learnsAtHour || t - lastNight < 2 * hourMs) return;
        lastNight = t;
        begin(all());
      });
      await busy;
    },
    async close(): Promise<void> {
      closed = true;
      cancel();
      await thread?.close();
      await busy;
    },
  };
}
