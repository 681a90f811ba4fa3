import type { ShelfAirSeries } from '../shared/forecasts.ts';
import type { ShelfAirQuestion } from '../shared/ports.ts';
import { type Cancel, type Clock, hourMs } from '../shared/time.ts';
import type { UnloadEvent } from '../shared/unloads.ts';
import type { ComingWarmth } from './forecast/coming.ts';
import type { RoomDepartures } from './forecast/explained-air.ts';
import { createExplaining } from './rooms/explaining.ts';
import { createRoomLearner } from './rooms/room-learner.ts';
import type { StoreHistory } from './store/history.ts';
import { createComing } from './unloads/coming.ts';
import { createUnloadDesk, type UnloadDeskNeeds } from './unloads/unload-desk.ts';

type Given =
  | 'database'
  | 'farm'
  | 'history'
  | 'batches'
  | 'forecasts'
  | 'liveValue'
  | 'follows'
  | 'onChange'
  | 'onRecorded'
  | 'onProblem';

interface SiteUnloadParts extends Pick<UnloadDeskNeeds, Given> {
  clock: Clock;
  history: UnloadDeskNeeds['history'] & Pick<StoreHistory, 'readStates'>;
  /** Null for a site that makes no forecasts: then it neither learns rooms nor tells of what is to come. */
  forecasting: {
    inThread: boolean;
    shelfAir: (question: ShelfAirQuestion) => Promise<ShelfAirSeries>;
    setComing: (coming: readonly ComingWarmth[]) => void;
    setDepartures: (departures: RoomDepartures) => void;
  } | null;
}

/** Hot loads of a site, the rooms they cool in, and what forecasts are to count on. */
export function createSiteUnloads(parts: SiteUnloadParts) {
  const { clock, forecasting, onChange, onProblem } = parts;
  let cancel: Cancel = () => {};

  const rooms = createRoomLearner({
    ...{ database: parts.database, clock, farm: parts.farm, history: parts.history },
    ...{ loads: () => desk.loads(), onProblem },
    onLearned() {
      explaining?.look();
      onChange();
    },
  });
  const desk = createUnloadDesk({
    ...parts,
    ...{ rooms, shelfAir: forecasting?.shelfAir ?? null, inThread: forecasting?.inThread ?? false },
    onRecorded(event: UnloadEvent) {
      parts.onRecorded(event);
      void coming?.look();
      explaining?.look();
    },
  });
  const coming =
    forecasting &&
    createComing({
      now: () => clock.now(),
      scheduled: desk.scheduled,
      plan: desk.planAlone,
      onComing: forecasting.setComing,
      onProblem: (thrown) => onProblem('A scheduled unload could not be counted on', thrown),
    });

  const explaining =
    forecasting &&
    createExplaining({
      ...{ now: () => clock.now(), farm: parts.farm, history: parts.history, known: rooms.known },
      ...{ loads: desk.loads, tell: forecasting.setDepartures },
      onProblem: (thrown) => onProblem("A room's air ahead is not told by what it taught", thrown),
    });

  return {
    ...{ desk: desk.desk, live: desk.live, watched: desk.watched },
    ...{ noteBags: desk.noteBags, tick: desk.tick, known: rooms.known },
    /** Tells forecasts that know nothing yet what rooms say of their air, behind and ahead. */
    tellDepartures: (): void => explaining?.again(),
    start(): void {
      desk.start();
      // A past that is made is learned from once it is there.
      if (coming === null) return;
      void coming.look();
      cancel = clock.every(hourMs, () => {
        void coming.look();
        explaining?.look();
      });
      rooms.start();
    },
    async close(): Promise<void> {
      cancel();
      await desk.close();
      await rooms.close();
    },
  };
}
