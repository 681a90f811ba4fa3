import type { Database } from 'better-sqlite3';
import type { EpochMs } from '../shared/time.ts';
import type { HeldSpan } from '../shared/unload/watched.ts';

/**
 * Keeps in which times unloads held alarms of their room back, as it came about: by a plan, without one, through
 * restarts. Limits are tried on the past with them. Writes join the caller's transaction.
 *
 * @param touch called before a write.
 */
export function createHoldLog(database: Database, touch: () => void) {
  const openRooms = database.prepare<[], string>('SELECT room FROM unload_hold WHERE until IS NULL').pluck();
  // A clock that was set back may bring the same instant again.
  const open = database.prepare<[string, EpochMs]>(
    `INSERT INTO unload_hold (room, since, until) VALUES (?, ?, NULL)
     ON CONFLICT (room, since) DO UPDATE SET until = NULL`,
  );
  const close = database.prepare<[EpochMs, string]>(
    'UPDATE unload_hold SET until = max(since, ?) WHERE room = ? AND until IS NULL',
  );
  const all = database.prepare<[], { room: string; since: EpochMs; until: EpochMs | null }>(
    'SELECT room, since, until FROM unload_hold ORDER BY since',
  );

  return {
    /** Rooms in which an unload holds alarms back from now on. */
    note(rooms: ReadonlySet<string>, now: EpochMs): void {
      const known = new Set(openRooms.all());
      const begun = [...rooms].filter((room) => !known.has(room));
      const over = [...known].filter((room) => !rooms.has(room));
      if (begun.length + over.length === 0) return;
      touch();
      for (const room of begun) open.run(room, now);
      for (const room of over) close.run(now, room);
    },
    spans: (): HeldSpan[] =>
      all
        .all()
        .map(({ room, since, until }) => ({ room, from: since, to: until ?? Number.POSITIVE_INFINITY })),
  };
}
