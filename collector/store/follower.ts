import type { Database } from 'better-sqlite3';
import type { EpochMs } from '../../shared/time.ts';
import { qualityOfCode } from './quality-code.ts';
import type { ReadingsLog } from './readings-log.ts';
import type { SeriesMarks } from './series-book.ts';

/** A reading as the log keeps it. */
export interface LoggedReading {
  channel: string;
  t: EpochMs;
  value: number;
  raw: number;
  quality: ReturnType<typeof qualityOfCode>;
}

/** Readings to be passed on together, and what may be marked as passed on once they are. */
export interface Portion {
  readings: LoggedReading[];
  /** Newest t taken of each series, by number. */
  upTo: ReadonlyMap<number, EpochMs>;
  /** Number of the last late reading taken; 0 for none. */
  lateUpTo: number;
}

type Row = [t: number, value: number, raw: number, quality: number];
type LateRow = [seq: number, series: number, ...Row];

/**
 * A durable cursor over the readings log, for passing everything on at least once and in order.
 *
 * Each series has a mark; what is newer is yet to be passed on. Taking a portion moves the mark in memory
 * at once, so that a reading that comes late meanwhile is queued by the log in the transaction that stores
 * it. Confirming moves the mark on disk. A crash between the two passes the portion on once more.
 * There is one follower to a log.
 */
export function createFollower(database: Database, log: ReadingsLog) {
  const newer = database
    .prepare<[number, number, number], Row>(
      `SELECT t, value, coalesce(raw, value), quality FROM reading WHERE series = ? AND t > ?
       ORDER BY t LIMIT ?`,
    )
    .raw();
  const late = database
    .prepare<[number], LateRow>(
      `SELECT seq, series, t, value, coalesce(raw, value), quality
       FROM late_reading JOIN reading USING (series, t) ORDER BY seq LIMIT ?`,
    )
    .raw();
  const confirmedTo = database
    .prepare<[], [number, number]>('SELECT id, coalesce(forwarded_to, -1) FROM series')
    .raw();
  const mark = database.prepare('UPDATE series SET forwarded_to = ? WHERE id = ?');
  const dropLate = database.prepare('DELETE FROM late_reading WHERE seq <= ?');
  const countNewer = database
    .prepare<[number, number, number], number>(
      'SELECT count(*) FROM (SELECT 1 FROM reading WHERE series = ? AND t > ? LIMIT ?)',
    )
    .pluck();
  const countLate = database.prepare<[], number>('SELECT count(*) FROM late_reading').pluck();

  /** Where the next portion begins, so that a long backlog of one series does not hold the others up. */
  let turn = 0;

  const confirmAll = database.transaction((portion: Portion, alongside: () => void) => {
    for (const [id, t] of portion.upTo) mark.run(t, id);
    if (portion.lateUpTo > 0) dropLate.run(portion.lateUpTo);
    alongside();
  });

  function* inTurn(channels: ReadonlyMap<string, SeriesMarks>): Generator<[string, SeriesMarks]> {
    const all = [...channels];
    const start = turn++;
    for (let step = 0; step < all.length; step++) yield all[(start + step) % all.length]!;
  }

  return {
    /** The next readings to pass on, at most `most`, late ones first; undefined when all are. */
    next(most: number): Portion | undefined {
      const channels = log.book.entries();
      const confirmed = new Map(confirmedTo.all());
      const names = new Map([...channels].map(([channel, { id }]) => [id, channel]));
      const readings: LoggedReading[] = [];
      const upTo = new Map<number, EpochMs>();
      const take = (channel: string, [t, value, raw, code]: Row) =>
        readings.push({ channel, t, value, raw, quality: qualityOfCode(code) });

      const lateRows = late.all(most);
      for (const [, series, ...row] of lateRows) take(names.get(series)!, row);
      for (const [channel, marks] of inTurn(channels)) {
        if (readings.length >= most) break;
        const rows = newer.all(marks.id, confirmed.get(marks.id) ?? -1, most - readings.length);
        const newest = rows.at(-1)?.[0];
        if (newest === undefined) continue;
        for (const row of rows) take(channel, row);
        upTo.set(marks.id, newest);
        marks.forwardedTo = Math.max(marks.forwardedTo, newest);
      }
      if (readings.length === 0) return undefined;
      return { readings, upTo, lateUpTo: lateRows.at(-1)?.[0] ?? 0 };
    },

    /** Marks a portion as passed on; `alongside` writes in the same transaction. */
    confirm: (portion: Portion, alongside: () => void = () => {}): void => confirmAll(portion, alongside),

    /** How many readings are yet to be passed on, counted up to about `most`. */
    waiting(most: number): number {
      let count = countLate.get()!;
      for (const [id, t] of confirmedTo.all()) {
        if (count >= most) break;
        count += countNewer.get(id, t, most - count)!;
      }
      return count;
    },
  };
}
export type Follower = ReturnType<typeof createFollower>;
