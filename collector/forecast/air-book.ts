import type { Farm } from '../../shared/farm/farm.ts';
import type { Provenance } from '../../shared/forecasts.ts';
import type { EpochMs } from '../../shared/time.ts';
import { stepOf, stepsPerDay } from './grid.ts';
import { copyShelfState, newShelfState, type ShelfAir, type ShelfState, stepShelf } from './shelf-state.ts';
import { createStepSeries, type StepSeries } from './step-series.ts';

const provenances: readonly Provenance[] = ['measured', 'neighbour', 'filled'];

/** Air of one shelf, step by step, kept as it was worked out. */
interface ShelfTrack {
  own: StepSeries[];
  room: StepSeries[];
  /** First step of the arrays. */
  base: number;
  /** Steps worked out, from `base`. */
  known: number;
  /** One past the last step that anyone was told of. */
  told: number;
  tempC: Float64Array;
  sdK: Float64Array;
  source: Uint8Array;
  state: ShelfState;
  /** Copies of the state before the first step of each day, oldest first. */
  saved: { step: number; state: ShelfState }[];
}

/** What the air was on each shelf, from readings; later readings change it from their own step on only. */
export interface AirBook {
  setFarm(farm: Farm): void;
  add(channel: string, t: EpochMs, value: number): void;
  /** Air during a step that is over. A null shelf is nowhere: nothing is known of its air. */
  at(shelf: string | null, step: number): ShelfAir;
  /** State after all steps before `step`, for looking ahead. Not to be changed. */
  stateAt(shelf: string | null, step: number): ShelfState;
  /** Shelves whose air changed since the last call, with the first changed step. */
  takeChanged(): Map<string, number>;
  dropBefore(step: number): void;
}

const mean = (series: readonly StepSeries[], step: number): number => {
  let sum = 0;
  let count = 0;
  for (const one of series) {
    const value = one.mean(step);
    if (!Number.isNaN(value)) {
      sum += value;
      count++;
    }
  }
  return count === 0 ? Number.NaN : sum / count;
};

export function createAirBook(): AirBook {
  const channels = new Map<string, StepSeries>();
  const shelvesOf = new Map<string, string[]>();
  let tracks = new Map<string, ShelfTrack>();
  let changed = new Map<string, number>();
  const nowhere = newShelfState();
  const nowhereAir = stepShelf(newShelfState(), 0, Number.NaN, Number.NaN);

  const seriesOf = (channel: string): StepSeries => {
    const found = channels.get(channel) ?? createStepSeries();
    channels.set(channel, found);
    return found;
  };

  const firstStep = (track: ShelfTrack): number =>
    Math.min(...[...track.own, ...track.room].map((series) => series.first()));

  const restart = (track: ShelfTrack, step: number): void => {
    track.base = step;
    track.known = 0;
    track.state = newShelfState();
    track.saved = [];
  };

  /** Forgets what was worked out from a step on. */
  const reopen = (track: ShelfTrack, step: number): void => {
    if (track.known === 0 || step >= track.base + track.known) return;
    while (track.saved.length > 0 && track.saved.at(-1)!.step > step) track.saved.pop();
    const last = track.saved.at(-1);
    if (last === undefined) restart(track, Math.min(step, firstStep(track), track.base));
    else {
      track.state = copyShelfState(last.state);
      track.known = last.step - track.base;
    }
  };

  const grow = (track: ShelfTrack): void => {
    if (track.known < track.tempC.length) return;
    const size = Math.max(2 * stepsPerDay, 2 * track.tempC.length);
    const wider = <T extends Float64Array | Uint8Array>(from: T, to: T): T => {
      to.set(from);
      return to;
    };
    track.tempC = wider(track.tempC, new Float64Array(size));
    track.sdK = wider(track.sdK, new Float64Array(size));
    track.source = wider(track.source, new Uint8Array(size));
  };

  /** Works out all steps before `step`. */
  const workOut = (track: ShelfTrack, step: number): void => {
    if (track.known === 0 && track.saved.length === 0) {
      const first = firstStep(track);
      if (first < step) track.base = Math.min(track.base, first);
    }
    for (let at = track.base + track.known; at < step; at++) {
      if (at % stepsPerDay === 0 && track.saved.at(-1)?.step !== at)
        track.saved.push({ step: at, state: copyShelfState(track.state) });
      grow(track);
      const air = stepShelf(track.state, at, mean(track.own, at), mean(track.room, at));
      track.tempC[track.known] = air.tempC;
      track.sdK[track.known] = air.sdK;
      track.source[track.known] = provenances.indexOf(air.source);
      track.known++;
    }
  };

  /** Lets go of whole days before a step, once a week of them has gathered. */
  const shorten = (track: ShelfTrack, step: number): void => {
    const from = track.saved.findLast((one) => one.step <= step)?.step;
    if (from === undefined || from - track.base < 7 * stepsPerDay) return;
    const skipped = from - track.base;
    track.tempC = track.tempC.slice(skipped);
    track.sdK = track.sdK.slice(skipped);
    track.source = track.source.slice(skipped);
    track.base = from;
    track.known -= skipped;
    track.saved = track.saved.filter((one) => one.step >= from);
  };

  return {
    setFarm(farm) {
      shelvesOf.clear();
      const next = new Map<string, ShelfTrack>();
      const temperature = [...farm.channels.values()].filter((one) => one.quantity === 'temperature');
      for (const shelf of farm.shelves.values()) {
        const ownIds = temperature.filter((one) => one.shelf === shelf.id).map((one) => one.id);
        const inRoom = temperature.filter((one) => one.room === shelf.room && one.shelf !== shelf.id);
        const atLarge = inRoom.filter((one) => one.shelf === null);
        const roomIds = (atLarge.length > 0 ? atLarge : inRoom).map((one) => one.id);
        for (const channel of [...ownIds, ...roomIds])
          shelvesOf.set(channel, [...(shelvesOf.get(channel) ?? []), shelf.id]);
        const track: ShelfTrack = {
          own: ownIds.map(seriesOf),
          room: roomIds.map(seriesOf),
          base: Number.POSITIVE_INFINITY,
          known: 0,
          told: Number.NEGATIVE_INFINITY,
          tempC: new Float64Array(0),
          sdK: new Float64Array(0),
          source: new Uint8Array(0),
          state: newShelfState(),
          saved: [],
        };
        next.set(shelf.id, track);
      }
      tracks = next;
      changed = new Map([...tracks.keys()].map((shelf) => [shelf, Number.NEGATIVE_INFINITY]));
    },

    add(channel, t, value) {
      if (!Number.isFinite(value)) return;
      const step = stepOf(t);
      seriesOf(channel).add(step, value);
      for (const shelf of shelvesOf.get(channel) ?? []) {
        const track = tracks.get(shelf)!;
        reopen(track, step);
        if (step < track.told) changed.set(shelf, Math.min(step, changed.get(shelf) ?? step));
      }
    },

    at(shelf, step) {
      const track = shelf === null ? undefined : tracks.get(shelf);
      if (track === undefined) return nowhereAir;
      track.told = Math.max(track.told, step + 1);
      if (track.base + track.known <= step || track.known === 0) workOut(track, step + 1);
      const index = step - track.base;
      if (!(index >= 0 && index < track.known)) return nowhereAir;
      return {
        tempC: track.tempC[index]!,
        sdK: track.sdK[index]!,
        source: provenances[track.source[index]!]!,
      };
    },

    stateAt(shelf, step) {
      const track = shelf === null ? undefined : tracks.get(shelf);
      if (track === undefined) return nowhere;
      workOut(track, step);
      return track.known > 0 ? track.state : nowhere;
    },

    takeChanged() {
      const taken = changed;
      changed = new Map();
      return taken;
    },

    dropBefore(step) {
      for (const series of channels.values()) series.dropBefore(step);
      for (const track of tracks.values()) shorten(track, step);
    },
  };
}
