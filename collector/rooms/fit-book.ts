import type { Database } from 'better-sqlite3';
import { type RoomFit, roomFit } from '../../shared/room/room-fit.ts';
import { dayMs, type EpochMs } from '../../shared/time.ts';

/** Fits older than this are of no use to anybody but a chart. */
const keptMs = 400 * dayMs;

export interface LearnedRoom {
  learnedAt: EpochMs;
  fit: RoomFit;
}

/** The store of what was learned of rooms. */
export function createFitBook(database: Database) {
  const newest = database.prepare<[string, number], { learnedAt: number; body: string }>(
    'SELECT learned_at AS learnedAt, body FROM room_fit WHERE room = ? AND learned_at <= ? ORDER BY learned_at DESC LIMIT 1',
  );
  const when = database.prepare<[string, number], { learnedAt: number | null }>(
    'SELECT max(learned_at) AS learnedAt FROM room_fit WHERE room = ? AND learned_at <= ?',
  );
  const firstAfter = database.prepare<[string, number], { learnedAt: number; body: string }>(
    'SELECT learned_at AS learnedAt, body FROM room_fit WHERE room = ? AND learned_at > ? ORDER BY learned_at LIMIT 1',
  );
  const insert = database.prepare('INSERT OR REPLACE INTO room_fit VALUES (?, ?, ?)');
  const thin = database.prepare('DELETE FROM room_fit WHERE room = ? AND learned_at < ?');

  // Parameters change with the tool: a fit of another make is as good as none, until the next night.
  const read = (row: { learnedAt: number; body: string } | undefined): LearnedRoom | undefined => {
    if (row === undefined) return undefined;
    const parsed = roomFit.safeParse(JSON.parse(row.body));
    return parsed.success ? { learnedAt: row.learnedAt, fit: parsed.data } : undefined;
  };

  return {
    /** What was known of a room at an instant; undefined before anything was, or where it can no longer be read. */
    newest(room: string, knownBy: EpochMs = Number.MAX_SAFE_INTEGER): LearnedRoom | undefined {
      return read(newest.get(room, knownBy));
    },
    /** When that was learned, whether it can be read or not; null before anything was. Cheap. */
    learnedAt: (room: string, knownBy: EpochMs): EpochMs | null => when.get(room, knownBy)!.learnedAt,
    /** What was learned first after an instant. */
    firstAfter: (room: string, t: EpochMs): LearnedRoom | undefined => read(firstAfter.get(room, t)),
    keep(room: string, learnedAt: EpochMs, fit: RoomFit): void {
      insert.run(room, learnedAt, JSON.stringify(fit));
      thin.run(room, learnedAt - keptMs);
    },
  };
}
export type FitBook = ReturnType<typeof createFitBook>;
