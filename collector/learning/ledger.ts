import type { Database } from 'better-sqlite3';
import type { FinishedBatch, KeptForecast } from '../../shared/learning.ts';
import type { EpochMs } from '../../shared/time.ts';

/** The store of what was forecast and of what finished batches taught. */
export function createLedger(database: Database) {
  const insertKept = database.prepare('INSERT OR REPLACE INTO kept_forecast VALUES (?, ?, ?, ?)');
  const keptOf = database
    .prepare<[string], string>('SELECT body FROM kept_forecast WHERE batch = ? ORDER BY as_of, cohort')
    .pluck();
  const insertFinished = database.prepare('INSERT OR REPLACE INTO finished_batch VALUES (?, ?, ?)');
  const finished = database
    .prepare<[number], string>('SELECT body FROM finished_batch WHERE known_at <= ? ORDER BY known_at, batch')
    .pluck();
  const names = database.prepare<[], string>('SELECT batch FROM finished_batch').pluck();
  const withdraw = database.prepare('DELETE FROM finished_batch WHERE batch = ?');
  const thin = database.prepare('DELETE FROM kept_forecast WHERE as_of < ?');
  const forgetKept = database.prepare('DELETE FROM kept_forecast WHERE as_of >= ?');
  const forgetFinished = database.prepare('DELETE FROM finished_batch WHERE known_at >= ?');

  return {
    keep: database.transaction((forecasts: readonly (KeptForecast & { cohort: string })[]): void => {
      for (const { cohort, ...forecast } of forecasts)
        insertKept.run(forecast.batch, cohort, forecast.asOf, JSON.stringify(forecast));
    }),
    /** Kept forecasts of a batch, oldest first. */
    kept: (batch: string): KeptForecast[] => keptOf.all(batch).map((body) => JSON.parse(body)),
    finish: database.transaction((batches: readonly FinishedBatch[]): void => {
      for (const batch of batches) {
        insertFinished.run(batch.batch, batch.knownAt, JSON.stringify(batch));
      }
    }),
    /** Takes back what was put down of batches whose record says something else now. */
    withdraw: database.transaction((batches: readonly string[]): void => {
      for (const batch of batches) withdraw.run(batch);
    }),
    /** Batches that were known to be finished at an instant, in the order in which that became known. */
    finished: (knownBy: EpochMs = Number.MAX_SAFE_INTEGER): FinishedBatch[] =>
      finished.all(knownBy).map((body) => JSON.parse(body)),
    /** Ids of the batches that are finished. */
    names: (): Set<string> => new Set(names.all()),
    /** Drops kept forecasts of long ago; what finished batches need of theirs is with them. */
    thin: (before: EpochMs): void => void thin.run(before),
    /** Forgets all that may rest on what happened from an instant on, so that it is worked out again. */
    forget: database.transaction((from: EpochMs): void => {
      forgetKept.run(from);
      forgetFinished.run(from);
    }),
  };
}
export type Ledger = ReturnType<typeof createLedger>;
