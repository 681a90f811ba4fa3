import type { Database } from 'better-sqlite3';
import { dayMs, type EpochMs } from '../../shared/time.ts';
import type { ComingWarmth } from '../forecast/coming.ts';
import { createExplainedAir, type ExplainedAir, type RoomDepartures } from '../forecast/explained-air.ts';

/** As long as fits are kept. */
const keptMs = 400 * dayMs;

/** What a forecaster is to be told of the air ahead. */
export interface TellsAir {
  setComing(coming: readonly ComingWarmth[]): void;
  setDepartures(departures: RoomDepartures): void;
}

/** Thousandths of a kelvin are whole numbers in the store, and a third as long. */
const toMilli = (values: readonly number[]): number[] => values.map((value) => Math.round(1000 * value));
const fromMilli = (values: readonly number[]): number[] => values.map((value) => value / 1000);

interface StoredDepartures {
  from: EpochMs;
  departureMilliK: number[];
  /** The first make of this table left spreads out. */
  sdMilliK?: number[];
}

/**
 * Everything that forecasts were told of rooms beyond their readings, with its instant. What is worked out anew later
 * knows more: later fits, later readings, loads that were taken back. So a restart and a look at the past go by this.
 */
export function createToldBook(database: Database) {
  const insert = database.prepare<[EpochMs, string | null, string]>(
    'INSERT INTO air_told (told_at, room, body) VALUES (?, ?, ?)',
  );
  const thin = database.prepare<[EpochMs]>('DELETE FROM air_told WHERE told_at < ?');
  const last = database
    .prepare<[string], EpochMs | null>('SELECT max(told_at) FROM air_told WHERE room = ?')
    .pluck();
  const lastComing = database
    .prepare<[], string>(
      'SELECT body FROM air_told WHERE room IS NULL ORDER BY told_at DESC, seq DESC LIMIT 1',
    )
    .pluck();
  const span = database
    .prepare<[EpochMs, EpochMs], [string | null, string]>(
      'SELECT room, body FROM air_told WHERE told_at > ? AND told_at <= ? ORDER BY told_at, seq',
    )
    .raw();
  const put = database.transaction((at: EpochMs, room: string | null, body: string): void => {
    insert.run(at, room, body);
    thin.run(at - keptMs);
  });

  return {
    /** When forecasts were last told of a room; null before they ever were. */
    toldAt: (room: string): EpochMs | null => last.get(room) ?? null,
    /** Puts down what a room's model says, which is told to the thousandth of a kelvin. */
    keepDepartures(at: EpochMs, { room, from, departureK, sdK }: RoomDepartures): void {
      const stored: StoredDepartures = { from, departureMilliK: toMilli(departureK), sdMilliK: toMilli(sdK) };
      put(at, room, JSON.stringify(stored));
    },
    /** Puts down what loads are to bring, where that is not what was put down last. */
    keepComing(at: EpochMs, coming: readonly ComingWarmth[]): void {
      const body = JSON.stringify(coming);
      if (body !== (lastComing.get() ?? '[]')) put(at, null, body);
    },
    /** Tells a forecaster what was told after one instant and up to another, in few words. */
    tell(to: TellsAir, after: EpochMs, upTo: EpochMs): void {
      const rooms = new Map<string, ExplainedAir>();
      let coming: string | undefined;
      for (const [room, body] of span.iterate(after, upTo))
        if (room === null) coming = body;
        else {
          const { from, departureMilliK, sdMilliK = [] } = JSON.parse(body) as StoredDepartures;
          const air = rooms.get(room) ?? createExplainedAir();
          rooms.set(room, air);
          air.tell({ room, from, departureK: fromMilli(departureMilliK), sdK: fromMilli(sdMilliK) });
        }
      for (const [room, air] of rooms) to.setDepartures(air.told(room));
      if (coming !== undefined)
        to.setComing((JSON.parse(coming) as ComingWarmth[]).map((one) => ({ ...one, sdK: one.sdK ?? [] })));
    },
  };
}
