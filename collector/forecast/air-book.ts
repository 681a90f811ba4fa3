import type { Farm } from '../../shared/farm/farm.ts';
import type { EpochMs } from '../../shared/time.ts';
import { type Future, futureOf, shifted } from './future.ts';
import { stepOf, timeOf } from './grid.ts';
import { createRoomTrack, nothingLearned, type RoomTrack } from './room-track.ts';
import { createShelfTrack, nowhere, type ShelfTrack, type StepAir } from './shelf-track.ts';
import { createStepSeries, type StepSeries } from './step-series.ts';

/** What the air was and will be on each shelf. A later reading changes it from its own step on only. */
export interface AirBook {
  setFarm(farm: Farm): void;
  /** A reading [°C], or the mean of `count` readings. */
  add(channel: string, t: EpochMs, value: number, count?: number): void;
  /**
   * Air during a step that is over. A null shelf is nowhere: nothing is known of its air. The answer is
   * overwritten by the next one.
   */
  at(shelf: string | null, step: number): Readonly<StepAir>;
  /** Air to expect from a step on, as known before it. Kept for all who ask within the step. */
  ahead(shelf: string | null, step: number): Future;
  /**
   * Shelves of which readings tell otherwise since the last call, with the first step of which air was told that is
   * another now; Infinity where only what lies ahead is.
   */
  takeChanged(): Map<string, number>;
  dropBefore(step: number): void;
}

interface Room {
  track: RoomTrack;
  shelves: string[];
  /** First step for which a reading came in since the last look at it; Infinity without any. */
  news: number;
  future: { step: number; future: Future } | undefined;
}

export function createAirBook(): AirBook {
  const channels = new Map<string, StepSeries>();
  let tracks = new Map<string, { track: ShelfTrack; room: Room }>();
  let rooms: Room[] = [];
  let roomOf = new Map<string, Room>();
  let changed = new Map<string, number>();
  const futures = new Map<string, { step: number; future: Future }>();
  let unknownFuture: { step: number; future: Future } | undefined;
  const answer: StepAir = { ...nowhere };

  const seriesOf = (channel: string): StepSeries => {
    const found = channels.get(channel) ?? createStepSeries();
    channels.set(channel, found);
    return found;
  };

  /** Takes in what readings since the last time change. */
  const settle = (room: Room): void => {
    const step = room.news;
    if (step === Number.POSITIVE_INFINITY) return;
    room.news = Number.POSITIVE_INFINITY;
    room.track.reopen(step);
    room.future = undefined;
    for (const shelf of room.shelves) {
      futures.delete(shelf);
      const first = tracks.get(shelf)!.track.reopen(step);
      if (first !== undefined) changed.set(shelf, Math.min(first, changed.get(shelf) ?? first));
    }
  };

  const roomAhead = (room: Room, step: number): Future => {
    if (room.future?.step !== step)
      room.future = { step, future: futureOf(room.track.profile(step), timeOf(step)) };
    return room.future.future;
  };

  return {
    setFarm(farm) {
      const temperature = [...farm.channels.values()].filter((one) => one.quantity === 'temperature');
      tracks = new Map();
      rooms = [];
      roomOf = new Map();
      futures.clear();
      for (const { id: roomId } of farm.rooms.values()) {
        const inRoom = temperature.filter((one) => one.room === roomId);
        const seriesAt = (fits: (shelf: string | null) => boolean) =>
          inRoom.filter((one) => fits(one.shelf)).map((one) => seriesOf(one.id));
        const track = createRoomTrack(
          seriesAt((shelf) => shelf === null),
          seriesAt((shelf) => shelf !== null),
        );
        const shelves = [...farm.shelves.values()]
          .filter((shelf) => shelf.room === roomId)
          .map(({ id }) => id);
        const room: Room = { track, shelves, news: Number.POSITIVE_INFINITY, future: undefined };
        rooms.push(room);
        for (const { id } of inRoom) roomOf.set(id, room);
        const all = seriesAt(() => true);
        for (const id of shelves) {
          const own = seriesAt((shelf) => shelf === id);
          tracks.set(id, { track: createShelfTrack(own, track, all), room });
        }
      }
      changed = new Map([...tracks.keys()].map((shelf) => [shelf, Number.NEGATIVE_INFINITY]));
    },

    add(channel, t, value, count = 1) {
      if (!Number.isFinite(value)) return;
      const step = stepOf(t);
      seriesOf(channel).add(step, value, count);
      const room = roomOf.get(channel);
      if (room !== undefined && step < room.news) room.news = step;
    },

    at(shelf, step) {
      const found = shelf === null ? undefined : tracks.get(shelf);
      if (found === undefined) return nowhere;
      settle(found.room);
      found.track.read(step, answer);
      return answer;
    },

    ahead(shelf, step) {
      const found = shelf === null ? undefined : tracks.get(shelf);
      if (shelf === null || found === undefined) {
        if (unknownFuture?.step !== step)
          unknownFuture = { step, future: futureOf(nothingLearned, timeOf(step)) };
        return unknownFuture.future;
      }
      settle(found.room);
      const kept = futures.get(shelf);
      if (kept?.step === step) return kept.future;
      const future = shifted(roomAhead(found.room, step), found.track.offset(step).offsetK);
      futures.set(shelf, { step, future });
      return future;
    },

    takeChanged() {
      for (const room of rooms) settle(room);
      const taken = changed;
      changed = new Map();
      return taken;
    },

    dropBefore(step) {
      for (const series of channels.values()) series.dropBefore(step);
      for (const { track } of rooms) track.dropBefore(step);
      for (const { track } of tracks.values()) track.dropBefore(step);
    },
  };
}
