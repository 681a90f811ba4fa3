import type { BatchState } from '../../shared/batches.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Beliefs } from '../../shared/growth/belief.ts';
import type { Reading } from '../../shared/readings.ts';
import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import { createBeliefBook } from '../forecast/belief-book.ts';
import { createKinds } from '../forecast/kind.ts';
import { inTurns } from '../in-turns.ts';
import type { StoreHistory } from '../store/history.ts';
import { type CohortHeat, heatOfBatch, hourOf, shelfAtTime } from './bag-heat.ts';
import { createHourlyAir } from './hourly-air.ts';

/** As far back as rooms are learned from, and what they are followed through before. */
const toldFromH = (33 * dayMs) / hourMs;
/** Bags that stand for longer have long been grown through: their first days' air is taken as the first known. */
const airFromH = (60 * dayMs) / hourMs;
/** Of bags that stand nowhere yet, and rooms that no sensor tells [°C]. */
const usualAirC = 22;
/** A last look holds for so many hours more: somebody looks each hour. */
const stillHours = 2;

export interface HeatBoardNeeds {
  now: () => EpochMs;
  farm: () => Farm;
  history: Pick<StoreHistory, 'readMinutes'>;
  /** Batches that stand or stood, and one with all its cohorts. */
  bags: {
    batches: () => readonly BatchState[];
    wholeBatch: (id: string) => BatchState | undefined;
  };
  /** What is believed of strains and of people's eyes. */
  beliefs: () => Beliefs;
  pause: () => Promise<void>;
  onProblem: (thrown: unknown) => void;
}

interface Told {
  firstHour: number;
  /** Heat of each room's bags, mean of each hour [W]. */
  rooms: Map<string, Float64Array>;
}

/** Gaps carried on from the hour before, the beginning from the first that is known. */
function filled(airC: Float64Array): Float64Array {
  let last = airC.find(Number.isFinite) ?? usualAirC;
  return airC.map((tempC) => {
    if (Number.isFinite(tempC)) last = tempC;
    return last;
  });
}

/**
 * How much heat bags give to each room, by the hour: over the last month and now. Worked out anew when asked, batch
 * by batch, with a pause after each. Bags whose strain or container is no longer of the farm count for nothing: while
 * they stand they are among a room's own gains.
 */
export function createHeatBoard(needs: HeatBoardNeeds) {
  const { now, farm, bags, history, pause, onProblem } = needs;
  const air = createHourlyAir({ history, pause });
  /** Of batches that are over nothing changes any more, unless readings of their days come late. */
  let over = new Map<string, { batch: BatchState; heat: CohortHeat[] }>();
  let told: Told | null = null;
  let running: Promise<void> | null = null;
  let closed = false;

  const workOut = async (): Promise<void> => {
    const site = farm();
    const t = now();
    const lastHour = hourOf(t);
    const firstHour = lastHour - toldFromH;
    const airFrom = lastHour - airFromH;
    const roomsAir = new Map<string, Float64Array>();
    for (const room of site.rooms.keys()) {
      const { airC, changedFrom } = await air.read(site, room, airFrom, lastHour);
      roomsAir.set(room, filled(airC));
      for (const [id, { batch }] of over) if (hourOf(batch.endedAt ?? t) >= changedFrom) over.delete(id);
    }
    const airC = (shelf: string | null, hour: number): number => {
      const known = roomsAir.get(site.shelves.get(shelf ?? '')?.room ?? '');
      return known === undefined ? usualAirC : known[Math.max(0, hour - airFrom)]!;
    };
    const kindOf = createKinds(site);
    const { beliefOf, eyeOf } = createBeliefBook(needs.beliefs());
    const rooms = new Map(
      [...site.rooms.keys()].map((room) => [room, new Float64Array(lastHour - firstHour + 1)]),
    );
    const kept: typeof over = new Map();
    for (const batch of bags.batches()) {
      if (closed) return;
      if (batch.endedAt !== null && hourOf(batch.endedAt) < firstHour) continue;
      const known = over.get(batch.id);
      const heat = known?.batch === batch ? known.heat : await heatOf(batch);
      if (batch.endedAt !== null) kept.set(batch.id, { batch, heat });
      for (const one of heat) add(one);
      await pause();
    }
    over = kept;
    told = { firstHour, rooms };

    async function heatOf(batch: BatchState): Promise<CohortHeat[]> {
      const whole = bags.wholeBatch(batch.id);
      const kind = kindOf(batch);
      if (whole === undefined || typeof kind === 'string') return [];
      const believed = { belief: beliefOf(batch), eyeOf };
      return inTurns(heatOfBatch({ batch: whole, kind, ...believed }, lastHour, airC), pause);
    }
    function add({ cohort, firstHour: made, heatW }: CohortHeat): void {
      for (let hour = Math.max(made, firstHour); hour < made + heatW.length; hour++) {
        // Of the running hour counts what stands now.
        const shelf = shelfAtTime(cohort, Math.min(t, (hour + 0.5) * hourMs));
        const room = site.shelves.get(shelf ?? '')?.room;
        const sum = rooms.get(room ?? '');
        if (sum !== undefined) sum[hour - firstHour]! += heatW[hour - made]!;
      }
    }
  };

  return {
    /** Readings came and are stored, late ones too: the next look has them. */
    noteAir(readings: readonly Pick<Reading, 'channel' | 't'>[]): void {
      for (const { channel, t } of readings) air.note(channel, t);
    },
    /** Works it out for now; asked while it is at work, it answers with that. Never throws. */
    look(): Promise<void> {
      running ??= workOut()
        .catch((thrown) => {
          if (!closed) onProblem(thrown);
        })
        .finally(() => {
          running = null;
        });
      return running;
    },
    /** Heat of a room's bags at an instant [W]; null where it was not worked out. */
    atW(room: string, t: EpochMs): number | null {
      if (told === null) return null;
      const { firstHour, rooms } = told;
      const series = rooms.get(room);
      const place = hourOf(t) - firstHour;
      if (series === undefined || place < 0) return null;
      // What stood there at the last look stands there until the next.
      return place < series.length
        ? series[place]!
        : place < series.length + stillHours
          ? series.at(-1)!
          : null;
    },
    async close(): Promise<void> {
      closed = true;
      await running;
    },
  };
}
export type HeatBoard = ReturnType<typeof createHeatBoard>;
