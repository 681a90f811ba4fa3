import type { Database } from 'better-sqlite3';
import { type Clock, dayMs, type EpochMs, minuteMs } from '../../shared/time.ts';
import type { ReadingsLog } from './readings-log.ts';

/** Rows that one step deletes of a series: a few ms, so that intake hardly waits. */
const rowsAtOnce = 5_000;
const pauseMs = 5;

export interface Dropped {
  /** Raw readings dropped; their roll-ups stay. */
  readings: number;
  /** Raw readings that are old enough but not forwarded yet, so they stay. */
  waiting: number;
  before: EpochMs;
}

export interface RetentionParts {
  database: Database;
  log: ReadingsLog;
  clock: Clock;
  /** Days for which raw readings are kept. */
  rawDays: number;
  /** While readings are forwarded, none is dropped before it was. */
  forwarding: boolean;
}

/** Drops raw readings that are older than a site keeps them. Roll-ups stay for ever. */
export function createRetention({ database, log, clock, rawDays, forwarding }: RetentionParts) {
  const nth = database
    .prepare<[number, number, number], number>(
      'SELECT t FROM reading WHERE series = ? AND t < ? ORDER BY t LIMIT 1 OFFSET ?',
    )
    .pluck();
  const drop = database.prepare('DELETE FROM reading WHERE series = ? AND t < ?');
  const dropQueued = database.prepare('DELETE FROM late_reading WHERE series = ? AND t < ?');
  const markRaw = database.prepare('UPDATE series SET raw_from = max(raw_from, ?) WHERE id = ?');
  const rolledTo = database.prepare<[number], number>('SELECT rolled_to FROM series WHERE id = ?').pluck();
  const forwardedTo = database
    .prepare<[number], number | null>('SELECT forwarded_to FROM series WHERE id = ?')
    .pluck();
  const oldestQueued = database
    .prepare<[number], number | null>('SELECT min(t) FROM late_reading WHERE series = ?')
    .pluck();
  const count = database
    .prepare<[number, number], number>('SELECT count(*) FROM reading WHERE series = ? AND t < ?')
    .pluck();

  /** What may go of a series: it is rolled up, and passed on where that is done. Whole minutes only. */
  function limitOf(id: number, before: EpochMs): EpochMs {
    let limit = Math.min(before, rolledTo.get(id)! + 1);
    if (forwarding)
      limit = Math.min(
        limit,
        (forwardedTo.get(id) ?? -1) + 1,
        oldestQueued.get(id) ?? Number.MAX_SAFE_INTEGER,
      );
    return limit - (limit % minuteMs);
  }

  const step = database.transaction((id: number, limit: EpochMs): number => {
    const far = nth.get(id, limit, rowsAtOnce);
    const end = far === undefined ? limit : Math.min(limit, far - (far % minuteMs) + minuteMs);
    const { changes } = drop.run(id, end);
    if (changes === 0) return 0;
    dropQueued.run(id, end);
    markRaw.run(end, id);
    return changes;
  });

  return {
    /**
     * Drops what is old, a little at a time with pauses between.
     *
     * @throws what SQLite throws; what was dropped until then stays dropped.
     */
    async run(): Promise<Dropped> {
      const keptFrom = clock.now() - rawDays * dayMs;
      const before = keptFrom - (keptFrom % minuteMs);
      const dropped: Dropped = { readings: 0, waiting: 0, before };
      for (const marks of log.book.entries().values()) {
        const limit = limitOf(marks.id, before);
        for (let rows = step(marks.id, limit); rows > 0; rows = step(marks.id, limit)) {
          dropped.readings += rows;
          marks.rawFrom = Math.max(marks.rawFrom, limit);
          await new Promise<void>((resolve) => clock.after(pauseMs, resolve));
        }
        if (limit < before) dropped.waiting += count.get(marks.id, before) ?? 0;
      }
      return dropped;
    },
  };
}
export type Retention = ReturnType<typeof createRetention>;
