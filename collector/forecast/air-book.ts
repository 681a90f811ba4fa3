import type { Farm } from '../../shared/farm/farm.ts';
import type { EpochMs } from '../../shared/time.ts';
import { type Future, futureOf } from './future.ts';
import { stepOf, timeOf } from './grid.ts';
import { createRoomTrack, nothingLearned, type RoomTrack } from './room-track.ts';
import { createShelfTrack, nowhere, type ShelfTrack, type StepAir } from './shelf-track.ts';
import { createStepSeries, type StepSeries } from './step-series.ts';

/** What the air was and will be on each shelf. A later reading changes it from its own step on only. */
export interface AirBook {
  setFarm(farm: Farm): void;
  add(channel: string, t: EpochMs, value: number): void;
  /**
   * Air during a step that is over. A null shelf is nowhere: nothing is known of its air. The answer is
   * overwritten by the next one.
   */
  at(shelf: string | null, step: number): Readonly<StepAir>;
  /** Air to expect from a step on, as known before it. Kept for all who ask within the step. */
  ahead(shelf: string | null, step: number): Future;
  /** Shelves whose air changed since the last call, with the first changed step. */
  takeChanged(): Map<string, number>;
  dropBefore(step: number): void;
}

export function createAirBook(): AirBook {
  const channels = new Map<string, StepSeries>();
  let tracks = new Map<string, ShelfTrack>();
  let rooms: RoomTrack[] = [];
  /** What a reading of a channel bears on. */
  let touched = new Map<string, { room: RoomTrack; shelves: string[] }>();
  let changed = new Map<string, number>();
  const futures = new Map<string | null, { step: number; future: Future }>();
  const answer: StepAir = { ...nowhere };

  const seriesOf = (channel: string): StepSeries => {
    const found = channels.get(channel) ?? createStepSeries();
    channels.set(channel, found);
    return found;
  };

  return {
    setFarm(farm) {
      const temperature = [...farm.channels.values()].filter((one) => one.quantity === 'temperature');
      tracks = new Map();
      rooms = [];
      touched = new Map();
      futures.clear();
      for (const { id: roomId } of farm.rooms.values()) {
        const inRoom = temperature.filter((one) => one.room === roomId);
        const seriesAt = (fits: (shelf: string | null) => boolean) =>
          inRoom.filter((one) => fits(one.shelf)).map((one) => seriesOf(one.id));
        const room = createRoomTrack(
          seriesAt((shelf) => shelf === null),
          seriesAt((shelf) => shelf !== null),
        );
        rooms.push(room);
        const shelves = [...farm.shelves.values()].filter((shelf) => shelf.room === roomId);
        for (const { id } of inRoom) touched.set(id, { room, shelves: shelves.map((shelf) => shelf.id) });
        const all = seriesAt(() => true);
        for (const { id } of shelves)
          tracks.set(
            id,
            createShelfTrack(
              seriesAt((shelf) => shelf === id),
              room,
              all,
            ),
          );
      }
      changed = new Map([...tracks.keys()].map((shelf) => [shelf, Number.NEGATIVE_INFINITY]));
    },

    add(channel, t, value) {
      if (!Number.isFinite(value)) return;
      const step = stepOf(t);
      seriesOf(channel).add(step, value);
      const bears = touched.get(channel);
      if (bears === undefined) return;
      bears.room.reopen(step);
      for (const shelf of bears.shelves)
        if (tracks.get(shelf)!.reopen(step)) changed.set(shelf, Math.min(step, changed.get(shelf) ?? step));
    },

    at(shelf, step) {
      const track = shelf === null ? undefined : tracks.get(shelf);
      if (track === undefined) return nowhere;
      track.read(step, answer);
      return answer;
    },

    ahead(shelf, step) {
      const found = futures.get(shelf);
      if (found?.step === step && !changed.has(shelf ?? '')) return found.future;
      const track = shelf === null ? undefined : tracks.get(shelf);
      const profile = track?.profile(step) ?? nothingLearned;
      const future = futureOf(profile, track?.offset(step).offsetK ?? 0, timeOf(step));
      futures.set(shelf, { step, future });
      return future;
    },

    takeChanged() {
      const taken = changed;
      for (const shelf of taken.keys()) futures.delete(shelf);
      changed = new Map();
      return taken;
    },

    dropBefore(step) {
      for (const series of channels.values()) series.dropBefore(step);
      for (const room of rooms) room.dropBefore(step);
      for (const track of tracks.values()) track.dropBefore(step);
    },
  };
}
