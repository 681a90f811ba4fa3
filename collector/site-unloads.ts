import { setImmediate as nextTurn } from 'node:timers/promises';
import type { BagEvent } from '../shared/bags.ts';
import type { ShelfAirSeries } from '../shared/forecasts.ts';
import type { ShelfAirQuestion } from '../shared/ports.ts';
import { type Clock, type EpochMs, hourMs } from '../shared/time.ts';
import type { UnloadEvent } from '../shared/unloads.ts';
import { airMemoryMs } from './forecast/hand-over-air.ts';
import { createExplaining } from './rooms/explaining.ts';
import { createHeatBoard, type HeatBoard, type HeatBoardNeeds } from './rooms/heat-board.ts';
import { createRoomLearner } from './rooms/room-learner.ts';
import { createToldBook, type TellsAir } from './rooms/told-book.ts';
import { createComing } from './unloads/coming.ts';
import { createUnloadDesk, type UnloadDeskNeeds } from './unloads/unload-desk.ts';

type Given =
  | 'database'
  | 'farm'
  | 'history'
  | 'batches'
  | 'forecasts'
  | 'liveValue'
  | 'alarms'
  | 'follows'
  | 'onChange'
  | 'onRecorded'
  | 'onProblem';

interface SiteUnloadParts extends Pick<UnloadDeskNeeds, Given> {
  clock: Clock;
  history: UnloadDeskNeeds['history'];
  /** Whether rooms are learned from the start on; unless so, once `learnRooms` is called. */
  learns: boolean;
  /** All batches, those that are over too. */
  bags: HeatBoardNeeds['bags'];
  /** Null for a site that makes no forecasts: then it neither learns rooms nor tells of what is to come. */
  forecasting:
    | (TellsAir & {
        inThread: boolean;
        shelfAir: (question: ShelfAirQuestion) => Promise<ShelfAirSeries>;
        beliefs: HeatBoardNeeds['beliefs'];
      })
    | null;
}

/** Where no forecasts are made nobody knows how bags grow. */
const noHeat: HeatBoard = { noteAir() {}, look: async () => {}, atW: () => null, close: async () => {} };

/** Hot loads of a site, the rooms they cool in, and what forecasts are to count on. */
export function createSiteUnloads(parts: SiteUnloadParts) {
  const { clock, forecasting, onChange, onProblem } = parts;
  const told = createToldBook(parts.database);
  /** Hour of the last look ahead. */
  let lookedIn = Number.NaN;
  const hourOf = (t: EpochMs): number => Math.floor(t / hourMs);

  /** A full disk must not keep forecasts from being told. */
  const putDown = (put: () => void): void => {
    try {
      put();
    } catch (thrown) {
      onProblem('What forecasts are told of rooms could not be put down', thrown);
    }
  };

  const bagHeat =
    forecasting === null
      ? noHeat
      : createHeatBoard({
          ...{ now: () => clock.now(), farm: parts.farm, history: parts.history, bags: parts.bags },
          ...{ beliefs: forecasting.beliefs, pause: () => nextTurn() },
          onProblem: (thrown) => onProblem('How much heat bags give to rooms is not known', thrown),
        });
  /** When the heat of bags was last looked at, and whether something happened to some since. */
  let heatAt = Number.NEGATIVE_INFINITY;
  let bagsMoved = false;
  const lookAtHeat = (t: EpochMs): void => {
    if (!bagsMoved && Math.floor(t / hourMs) === Math.floor(heatAt / hourMs)) return;
    heatAt = t;
    bagsMoved = false;
    void bagHeat.look();
  };

  const rooms = createRoomLearner({
    ...{ database: parts.database, clock, farm: parts.farm, history: parts.history },
    ...{ loads: () => desk.loads(), bagHeat, onProblem },
    onLearned() {
      void explaining?.look();
      onChange();
    },
  });
  const desk = createUnloadDesk({
    ...parts,
    rooms: { ...rooms, bagsW: bagHeat.atW },
    ...{ shelfAir: forecasting?.shelfAir ?? null, inThread: forecasting?.inThread ?? false },
    onRecorded(event: UnloadEvent) {
      parts.onRecorded(event);
      void coming?.look();
      void explaining?.look();
    },
  });
  const coming =
    forecasting &&
    createComing({
      now: () => clock.now(),
      scheduled: desk.scheduled,
      plan: desk.planAlone,
      onComing(warmth) {
        putDown(() => told.keepComing(clock.now(), warmth));
        forecasting.setComing(warmth);
      },
      onProblem: (thrown) => onProblem('A scheduled unload could not be counted on', thrown),
    });

  const explaining =
    forecasting &&
    createExplaining({
      ...{ now: () => clock.now(), farm: parts.farm, history: parts.history, known: rooms.known },
      ...{ loads: desk.loads, learnedAt: rooms.learnedAt, toldAt: told.toldAt },
      tell(departures) {
        putDown(() => told.keepDepartures(clock.now(), departures));
        forecasting.setDepartures(departures);
      },
      pause: () => nextTurn(),
      onProblem: (thrown) => onProblem("A room's air ahead is not told by what it taught", thrown),
    });

  return {
    ...{ desk: desk.desk, live: desk.live, watched: desk.watched },
    known: rooms.known,
    noteAir: bagHeat.noteAir,
    noteBags(event: BagEvent): void {
      bagsMoved = true;
      desk.noteBags(event);
    },
    /** To be called each minute. */
    tick(now: EpochMs): void {
      lookAtHeat(now);
      desk.tick(now);
    },
    /** Tells forecasts that know nothing yet what was told of rooms before, and what they say now. */
    tellAll(): void {
      if (forecasting === null) return;
      told.tell(forecasting, clock.now() - airMemoryMs, clock.now());
      void explaining?.look();
    },
    start(): void {
      desk.start();
      // A past that is made is learned from once it is there.
      if (coming === null) return;
      lookedIn = hourOf(clock.now());
      lookAtHeat(clock.now());
      void coming.look();
      if (parts.learns) void rooms.start();
    },
    /** Learns rooms from a past that was made since the start, and from then on every night. */
    learnRooms: rooms.start,
    /** To be called each minute, before forecasts are made: once an hour they are told of what lies ahead. */
    lookAhead(now: EpochMs): void {
      if (coming === null || hourOf(now) === lookedIn) return;
      lookedIn = hourOf(now);
      void coming.look();
      void explaining?.look();
    },
    async close(): Promise<void> {
      await desk.close();
      await explaining?.close();
      await bagHeat.close();
      await rooms.close();
    },
  };
}
