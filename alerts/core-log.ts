import type { Database } from 'better-sqlite3';
import type { Extremes, RecordedReading, RecordedReadings } from '../shared/ports.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../shared/time.ts';

/** A core is kept when it moved by so much [K], and else as often as a limit's delay could need it. */
const stepK = 0.1;
const everyMs = 5 * minuteMs;
/** A shelf that has become empty is told of for so long. */
const keptEmptyMs = hourMs;
/** As long as raw readings usually are. */
const keptForMs = 90 * dayMs;

/** What was kept last of a signal, and since when its shelf is empty. */
interface Kept {
  t: EpochMs;
  value: number;
  emptySince: EpochMs | null;
}

/** Whether a signal is of cores, which no sensor measures. */
export const isCore = (signal: string): boolean => signal.startsWith('core>');
/** What a shelf without bags says: within every limit. It stands as NULL. */
const withoutBags = (signal: string): number =>
  signal.startsWith('core>warmest') ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;

/**
 * Keeps the warmest and coldest core of each shelf as alarms were told of them, so that limits on cores can be
 * tried on the past like those on what sensors measure.
 */
export function createCoreLog(database: Database) {
  const idOf = database.prepare<[string], number>('SELECT id FROM core_signal WHERE signal = ?').pluck();
  const insertId = database.prepare('INSERT OR IGNORE INTO core_signal (signal) VALUES (?)');
  const insert = database.prepare('INSERT OR REPLACE INTO core_kept (signal, t, value) VALUES (?, ?, ?)');
  const everySignal = database.prepare<[], number>('SELECT id FROM core_signal').pluck();
  /** Signal by signal, along the key: over all at once it would walk the whole table in the midst of a tick. */
  const drop = database.prepare<[number, EpochMs]>('DELETE FROM core_kept WHERE signal = ? AND t < ?');
  const rows = database
    .prepare<[number, number, number], [number, number | null]>(
      'SELECT t, value FROM core_kept WHERE signal = ? AND t >= ? AND t < ? ORDER BY t',
    )
    .raw();
  const buckets = database
    .prepare<
      { id: number; width: number; from: number; to: number },
      [number, number | null, number | null, number]
    >(
      `SELECT t - t % :width, min(value), max(value), sum(value IS NULL) FROM core_kept
       WHERE signal = :id AND t - t % :width >= :from AND t - t % :width < :to GROUP BY 1 ORDER BY 1`,
    )
    .raw();
  const first = database
    .prepare<[number], number | null>('SELECT min(t) FROM core_kept WHERE signal = ?')
    .pluck();
  const newest = database.prepare<[number], { t: number; value: number | null }>(
    'SELECT t, value FROM core_kept WHERE signal = ? ORDER BY t DESC LIMIT 1',
  );
  const last = new Map<string, Kept>();
  let droppedAt = Number.NEGATIVE_INFINITY;

  /** What was kept last before this start. */
  const newestOf = (signal: string): Kept | undefined => {
    const id = idOf.get(signal);
    const row = id === undefined ? undefined : newest.get(id);
    return (
      row && {
        t: row.t,
        value: row.value ?? withoutBags(signal),
        emptySince: row.value === null ? row.t : null,
      }
    );
  };
  const known = (signal: string): number | undefined => (isCore(signal) ? idOf.get(signal) : undefined);

  const recorded: RecordedReadings = {
    extremes(signal, width, from, to) {
      const id = known(signal);
      if (id === undefined) return [];
      const none = withoutBags(signal);
      return buckets.all({ id, width, from, to }).map(([t, low, high, bare]): Extremes => {
        const all = bare > 0 ? [none] : [];
        return { t, low: Math.min(low ?? none, ...all), high: Math.max(high ?? none, ...all) };
      });
    },
    readings(signal, from, to) {
      const id = known(signal);
      if (id === undefined) return [];
      return rows.all(id, from, to).map(([t, value]): RecordedReading => {
        return { t, value: value ?? withoutBags(signal), quality: 'good', receivedAt: t };
      });
    },
    keptFrom(signal) {
      const id = known(signal);
      return id === undefined ? null : (first.get(id) ?? null);
    },
  };

  return {
    recorded,
    /** To be called within a transaction with all that alarms are told; keeps what is worth it. */
    note(signal: string, t: EpochMs, value: number): void {
      if (!isCore(signal)) return;
      const before = last.get(signal) ?? newestOf(signal);
      const isEmpty = !Number.isFinite(value);
      const emptySince = isEmpty ? (before?.emptySince ?? t) : null;
      // Bags that have left end an alarm after its delay; then, and where none ever stood, nothing need be kept.
      if (isEmpty && (before === undefined || t - emptySince! > keptEmptyMs)) return;
      const isNear =
        before !== undefined && (value === before.value || Math.abs(value - before.value) < stepK);
      if (isNear && t >= before.t && t - before.t < everyMs) return;
      last.set(signal, { t, value, emptySince });
      insertId.run(signal);
      insert.run(idOf.get(signal)!, t, Number.isFinite(value) ? value : null);
      if (t - droppedAt < dayMs) return;
      droppedAt = t;
      for (const id of everySignal.all()) drop.run(id, t - keptForMs);
    },
  };
}

/** What sensors measured and what was computed of cores, as one past. */
export const withCores = (measured: RecordedReadings, cores: RecordedReadings): RecordedReadings => ({
  extremes: (channel, ...span) => (isCore(channel) ? cores : measured).extremes(channel, ...span),
  readings: (channel, ...span) => (isCore(channel) ? cores : measured).readings(channel, ...span),
  keptFrom: (channel) => (isCore(channel) ? cores : measured).keptFrom(channel),
});
