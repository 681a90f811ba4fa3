import type { Farm } from '../../shared/farm/farm.ts';
import type { EpochMs } from '../../shared/time.ts';
import { type ComingWarmth, raised } from './coming.ts';
import { createExplainedAir, type ExplainedAir, type RoomDepartures } from './explained-air.ts';
import { type Future, futureOf, shifted } from './future.ts';
import { stepOf, stepsPerHour, timeOf } from './grid.ts';
import { createRoomTrack, nothingLearned, type RoomTrack, unmeasured } from './room-track.ts';
import { createShelfTrack, nowhere, type ShelfTrack, type StepAir } from './shelf-track.ts';
import { createStepSeries, meanOf, type StepSeries } from './step-series.ts';

/** What the air was and will be on each shelf. A later reading changes it from its own step on only. */
export interface AirBook {
  setFarm(farm: Farm): void;
  /** Warmth that rooms are to get, all of it; forecasts count on it from their next step on. */
  setComing(coming: readonly ComingWarmth[]): void;
  /**
   * What a room's model says of its departures from its usual day. Where hours that are over are told otherwise, the
   * usual day is learned again.
   */
  setDepartures(departures: RoomDepartures): void;
  /** A reading [°C], or the mean of `count` readings; `byHand` when it was estimated from what somebody wrote down. */
  add(channel: string, t: EpochMs, value: number, count?: number, byHand?: boolean): void;
  /**
   * Air during a step that is over. A null shelf is nowhere: nothing is known of its air. The answer is
   * overwritten by the next one.
   */
  at(shelf: string | null, step: number): Readonly<StepAir>;
  /** First step of which anything is known at a shelf or in its room; infinite when nothing is. */
  first(shelf: string): number;
  /** Mean of the probes in a batch's bags on a shelf in a step that is over [°C]; NaN without a reading. */
  probe(shelf: string | null, batch: string, step: number): number;
  /** Air to expect at one instant, with how sure that is at that instant, as a gap would be filled. */
  expected(shelf: string, step: number, t: EpochMs): { tempC: number; sdK: number };
  /** Air to expect from a step on, as known before it. Kept for all who ask within the step. */
  ahead(shelf: string | null, step: number): Future;
  /** Shelves of which readings tell otherwise since the last call. */
  takeChanged(): Map<string, Change>;
  dropBefore(step: number): void;
}

/** What is known otherwise of a shelf. */
export interface Change {
  /** First step of which air was told that is another now; Infinity where only what lies ahead is. */
  air: number;
  /** First step that any reading came in for: what was expected before it stays as it was. */
  news: number;
}

interface Room {
  id: string;
  track: RoomTrack;
  shelves: string[];
  /** First step for which a reading came in since the last look at it; Infinity without any. */
  news: number;
  futures: Lately<Future>;
}

/** What was worked out, out of what was known before a step, for the last few that anyone asked about. */
interface Lately<T> {
  at(step: number, make: () => T): T;
  /** Something in a step is known otherwise: what was worked out from it goes. */
  forget(step: number): void;
}
/** Batches of a shelf are at one of two steps, and what moved them is asked about a day and three days back. */
const keptSteps = 4;

function lately<T>(): Lately<T> {
  const kept = new Map<number, T>();
  return {
    at(step, make) {
      const found = kept.get(step);
      if (found !== undefined) return found;
      if (kept.size >= keptSteps) kept.delete(kept.keys().next().value!);
      const made = make();
      kept.set(step, made);
      return made;
    },
    forget(changed) {
      for (const step of kept.keys()) if (step > changed) kept.delete(step);
    },
  };
}

/** A probe in a bag: where it stands, and since which step. */
interface Probe {
  channel: string;
  shelf: string;
  from: number;
  series: StepSeries;
}

/** What was estimated by hand is kept apart from what the channel measured. */
const handOf = (channel: string): string => `${channel} by hand`;

/** Probes in bags that nobody named. */
const strangeProbes = (farm: Farm) =>
  [...farm.channels.values()].filter(
    ({ quantity, sensor, shelf }) =>
      quantity === 'probe-temperature' && sensor.inBag === undefined && shelf !== null,
  );

function probesOf(farm: Farm, seriesOf: (channel: string) => StepSeries): Map<string, Probe[]> {
  const probes = new Map<string, Probe[]>();
  for (const { id, quantity, sensor, shelf } of farm.channels.values()) {
    if (quantity !== 'probe-temperature' || sensor.inBag === undefined || shelf === null) continue;
    const { batch, from } = sensor.inBag;
    const since = from === undefined ? Number.NEGATIVE_INFINITY : stepOf(Date.parse(from));
    const probe = { channel: id, shelf, from: since, series: seriesOf(id) };
    probes.set(batch, [...(probes.get(batch) ?? []), probe]);
  }
  return probes;
}

export function createAirBook(): AirBook {
  const channels = new Map<string, StepSeries>();
  let tracks = new Map<string, { track: ShelfTrack; room: Room; futures: Lately<Future> }>();
  let rooms: Room[] = [];
  let coming: readonly ComingWarmth[] = [];
  const explained = new Map<string, ExplainedAir>();
  let roomOf = new Map<string, Room>();
  let changed = new Map<string, Change>();
  const unknownFutures = lately<Future>();
  let probes = new Map<string, Probe[]>();
  /** Shelf that a probe's readings bear on. */
  const probed = new Map<string, string>();
  const answer: StepAir = { ...nowhere };

  const seriesOf = (channel: string): StepSeries => {
    const found = channels.get(channel) ?? createStepSeries();
    channels.set(channel, found);
    return found;
  };

  const explainedOf = (room: string): ExplainedAir => {
    const found = explained.get(room) ?? createExplainedAir();
    explained.set(room, found);
    return found;
  };

  const change = (shelf: string, air: number, news: number): void => {
    const before = changed.get(shelf);
    changed.set(shelf, {
      air: Math.min(air, before?.air ?? air),
      news: Math.min(news, before?.news ?? news),
    });
  };

  /** Takes in what readings since the last time change. */
  const settle = (room: Room): void => {
    const step = room.news;
    if (step === Number.POSITIVE_INFINITY) return;
    room.news = Number.POSITIVE_INFINITY;
    room.track.reopen(step);
    room.futures.forget(step);
    for (const shelf of room.shelves) {
      const { track, futures } = tracks.get(shelf)!;
      futures.forget(step);
      const first = track.reopen(step);
      if (first !== undefined) change(shelf, first, step);
    }
  };

  const forgetFutures = ({ futures, shelves }: Room): void => {
    futures.forget(0);
    for (const shelf of shelves) tracks.get(shelf)!.futures.forget(0);
  };

  const roomAhead = ({ id, track, futures }: Room, step: number): Future =>
    futures.at(step, () => {
      const warmth = coming.filter(({ room }) => room === id);
      const usual = explainedOf(id).onTop(futureOf(track.profile(step), timeOf(step)), timeOf(step));
      return raised(usual, timeOf(step), warmth);
    });

  return {
    setFarm(farm) {
      const temperature = [...farm.channels.values()].filter((one) => one.quantity === 'temperature');
      const strange = strangeProbes(farm);
      tracks = new Map();
      rooms = [];
      roomOf = new Map();
      probed.clear();
      for (const { id: roomId, limits } of farm.rooms.values()) {
        const inRoom = temperature.filter((one) => one.room === roomId);
        const bags = strange.filter((one) => one.room === roomId);
        const seriesAt = (fits: (shelf: string | null) => boolean, hand = false) =>
          inRoom.filter((one) => fits(one.shelf)).map((one) => seriesOf(hand ? handOf(one.id) : one.id));
        const track = createRoomTrack(
          seriesAt((shelf) => shelf === null),
          seriesAt((shelf) => shelf !== null),
          {
            atLarge: seriesAt((shelf) => shelf === null, true),
            onShelves: seriesAt((shelf) => shelf !== null, true),
          },
          unmeasured(limits),
          explainedOf(roomId),
        );
        const shelves = [...farm.shelves.values()]
          .filter((shelf) => shelf.room === roomId)
          .map(({ id }) => id);
        const room: Room = { id: roomId, track, shelves, news: Number.POSITIVE_INFINITY, futures: lately() };
        rooms.push(room);
        for (const { id } of [...inRoom, ...bags]) roomOf.set(id, room);
        const all = [...seriesAt(() => true), ...seriesAt(() => true, true)];
        for (const id of shelves) {
          const here = (shelf: string | null) => shelf === id;
          const strangeBags = bags.filter((one) => here(one.shelf)).map((one) => seriesOf(one.id));
          const shelfTrack = createShelfTrack({
            own: seriesAt(here),
            room: track,
            all: [...all, ...strangeBags],
            byHand: seriesAt(here, true),
            strangeBags,
          });
          tracks.set(id, { track: shelfTrack, room, futures: lately() });
        }
      }
      probes = probesOf(farm, seriesOf);
      for (const { channel, shelf } of [...probes.values()].flat()) probed.set(channel, shelf);
      changed = new Map();
      for (const shelf of tracks.keys()) change(shelf, Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY);
    },

    setComing(next) {
      coming = next;
      for (const room of rooms) forgetFutures(room);
    },

    setDepartures(departures) {
      const hour = explainedOf(departures.room).tell(departures);
      const room = rooms.find(({ id }) => id === departures.room);
      if (room === undefined || hour === Number.POSITIVE_INFINITY) return;
      forgetFutures(room);
      const step = hour * stepsPerHour;
      // Gaps of the running hour are filled by what is told of it, too.
      const isTold = room.shelves.some((shelf) => tracks.get(shelf)!.track.told() > step);
      if (isTold || hour < room.track.learnedTo()) room.news = Math.min(room.news, step);
    },

    add(channel, t, value, count = 1, byHand = false) {
      if (!Number.isFinite(value)) return;
      const step = stepOf(t);
      seriesOf(byHand ? handOf(channel) : channel).add(step, value, count);
      const shelf = probed.get(channel);
      if (shelf !== undefined && tracks.get(shelf)!.track.told() > step) change(shelf, step, step);
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

    probe(shelf, batch, step) {
      const stands = probes.get(batch)?.filter((one) => one.shelf === shelf && step >= one.from) ?? [];
      return meanOf(
        stands.map((one) => one.series),
        step,
      );
    },

    expected(shelf, step, t) {
      const found = tracks.get(shelf);
      if (found === undefined) return nowhere;
      settle(found.room);
      return found.track.expected(step, t);
    },

    first: (shelf) => tracks.get(shelf)?.track.first() ?? Number.POSITIVE_INFINITY,

    ahead(shelf, step) {
      const found = shelf === null ? undefined : tracks.get(shelf);
      if (found === undefined) return unknownFutures.at(step, () => futureOf(nothingLearned, timeOf(step)));
      settle(found.room);
      return found.futures.at(step, () =>
        shifted(roomAhead(found.room, step), found.track.offset(step).offsetK),
      );
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
      for (const one of explained.values()) one.dropBefore(timeOf(step));
      for (const { track } of tracks.values()) track.dropBefore(step);
    },
  };
}
