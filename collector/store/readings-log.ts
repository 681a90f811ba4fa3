import type { Database } from 'better-sqlite3';
import type { Reading } from '../../shared/readings.ts';
import { codeOfQuality, markOf } from './quality-code.ts';
import { createRollupTables, type RolledReading } from './rollup-tables.ts';
import { createSeriesBook, type SeriesMarks } from './series-book.ts';

/**
 * Arrival is kept of a reading that came later than this after its own time, or after the 5 min that forecasts
 * reckon in were over: forecasts 'as of' an instant need to know.
 */
const promptMs = 60_000;
const gridMs = 300_000;
const isPrompt = (t: number, receivedAt: number): boolean =>
  receivedAt - t <= promptMs && Math.floor(receivedAt / gridMs) <= Math.floor(t / gridMs);

/**
 * The readings log: every reading once, by (channel, t).
 *
 * A reading newer than what its series has settled costs one row; `settle` rolls such readings up later,
 * from the log itself. A late one is rolled up at once, in the same transaction. So stored roll-ups plus
 * the readings behind `rolled_to` are right at every commit, and a crash leaves nothing to repair.
 */
export function createReadingsLog(database: Database) {
  const book = createSeriesBook(database);
  const rollups = createRollupTables(database);
  const insert = database.prepare('INSERT INTO reading VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING');
  const queueLate = database.prepare('INSERT INTO late_reading (series, t) VALUES (?, ?)');
  const behind = database
    .prepare<[number, number, number], [number, number, number]>(
      'SELECT t, value, quality FROM reading WHERE series = ? AND t > ? ORDER BY t LIMIT ?',
    )
    .raw();
  const markRolled = database.prepare('UPDATE series SET rolled_to = ? WHERE id = ?');
  const rawInMinute = database
    .prepare<[number, number, number], number>(
      'SELECT 1 FROM reading WHERE series = ? AND t >= ? AND t < ? LIMIT 1',
    )
    .pluck();

  /** Once raw readings were dropped, a minute that is rolled up without any cannot tell old from new. */
  function alreadyRolledAway(series: number, t: number): boolean {
    const minute = t - (t % 60_000);
    return (
      rollups.count(series, 60_000, minute, minute + 60_000, 1) > 0 &&
      rawInMinute.get(series, minute, minute + 60_000) === undefined
    );
  }

  /** Series that may have readings behind `rolled_to`: at the start any, after a crash. */
  const unsettled = new Set([...book.entries().values()].map((marks) => marks.id));
  let waiting = unsettled.size;

  function appendAll(readings: readonly Reading[]): Reading[] {
    const fresh: Reading[] = [];
    let late: Map<number, RolledReading[]> | undefined;
    for (const reading of readings) {
      const { value, raw, receivedAt } = reading;
      const t = Math.round(reading.t);
      const marks = book.take(reading.channel);
      const code = codeOfQuality(reading.quality);
      if (t < marks.rawFrom && alreadyRolledAway(marks.id, t)) continue;
      const received = isPrompt(t, receivedAt) ? null : Math.round(receivedAt);
      if (insert.run(marks.id, t, value, raw === value ? null : raw, code, received).changes === 0) continue;
      fresh.push(reading);
      if (t <= marks.forwardedTo) queueLate.run(marks.id, t);
      if (t > marks.rolledTo) {
        unsettled.add(marks.id);
        waiting += 1;
        continue;
      }
      late ??= new Map();
      const rows = late.get(marks.id);
      if (rows === undefined) late.set(marks.id, [[t, value, markOf(code)]]);
      else rows.push([t, value, markOf(code)]);
    }
    if (late !== undefined) for (const [series, rows] of late) rollups.add(series, rows);
    return fresh;
  }
  const appendAlone = database.transaction(appendAll);

  const settleSome = database.transaction((most: number) => {
    const done: { marks: SeriesMarks; newest: number; whole: boolean }[] = [];
    let rows = 0;
    for (const id of unsettled) {
      if (rows >= most) break;
      const marks = book.byId(id);
      // Unknown: made in a transaction that was rolled back.
      const found = marks === undefined ? [] : behind.all(id, marks.rolledTo, most - rows);
      if (marks === undefined || found.length === 0) {
        unsettled.delete(id);
        continue;
      }
      rollups.add(
        id,
        found.map(([t, value, code]) => [t, value, markOf(code)] as const),
      );
      const newest = found.at(-1)![0];
      markRolled.run(newest, id);
      done.push({ marks, newest, whole: found.length < most - rows });
      rows += found.length;
    }
    return { rows, done };
  });

  return {
    /**
     * Stores readings, absorbing those already there by (channel, t): the first to come stands.
     * Joins the caller's transaction; without one it makes its own.
     *
     * @returns the readings that are new.
     * @throws what SQLite throws (disk full, ...): then nothing of a transaction of its own is stored.
     */
    append: (readings: readonly Reading[]): Reading[] =>
      database.inTransaction ? appendAll(readings) : appendAlone(readings),

    /** About how many readings wait to be rolled up. */
    unsettled: (): number => waiting,

    /**
     * Brings stored roll-ups up to the log, at most `most` readings at a time so that intake never waits
     * long. Does nothing inside a transaction, which may yet be rolled back.
     *
     * @returns how many readings were rolled up; 0 means that all are.
     */
    settle(most = 10_000): number {
      if (database.inTransaction) return 0;
      book.refresh();
      if (unsettled.size === 0) return 0;
      const { rows, done } = settleSome(most);
      for (const { marks, newest, whole } of done) {
        marks.rolledTo = newest;
        if (whole) unsettled.delete(marks.id);
      }
      waiting = unsettled.size === 0 ? 0 : Math.max(waiting - rows, 1);
      return rows;
    },

    /** Channels and their marks, for the parts of the store that move them. */
    book,
  };
}
export type ReadingsLog = ReturnType<typeof createReadingsLog>;
