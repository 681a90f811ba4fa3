import type { Database } from 'better-sqlite3';
import type { Farm } from '../../shared/farm/farm.ts';
import type { FarmFile } from '../../shared/farm/schema.ts';
import type { FinishedBatch } from '../../shared/learning.ts';
import type { EpochMs } from '../../shared/time.ts';
import { startThread } from '../start-thread.ts';
import { type LearnedPast, lacksLearning } from './learn-past.ts';
import { createLedger } from './ledger.ts';

export interface ThreadOrder {
  file: string;
  farm: FarmFile;
  finished: readonly FinishedBatch[];
  now: EpochMs;
}

export interface LearnApart {
  /** Path of the database that `database` is open on. */
  file: string;
  database: Database;
  farm: Farm;
  now: EpochMs;
  /** Told how many finished batches were put down. */
  onLearned: (count: number) => void;
  onProblem: (thrown: unknown) => void;
}

/**
 * Learns from finished batches whose lessons a database lacks (history that was brought in, nights on which
 * nothing ran) in a thread of its own, beside a running site: minutes of work after a long history.
 *
 * @returns stops it; what was not put down yet is learned the next time.
 */
export function learnApart({
  file,
  database,
  farm,
  now,
  onLearned,
  onProblem,
}: LearnApart): () => Promise<void> {
  const ledger = createLedger(database);
  const finished = ledger.finished();
  if (!lacksLearning({ database, farm, finished, now })) return async () => {};
  const order: ThreadOrder = { file, farm: farm.file, finished, now };
  const worker = startThread('learning/thread', 'learning', order);
  worker.on('message', ({ stale, fresh, kept }: LearnedPast) => {
    ledger.withdraw(stale);
    ledger.finish(fresh);
    ledger.keep(kept);
    onLearned(fresh.length);
  });
  worker.on('error', onProblem);
  return async () => {
    worker.removeAllListeners();
    await worker.terminate();
  };
}
