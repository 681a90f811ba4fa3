import type { Database } from 'better-sqlite3';
import type { Reading } from '../../shared/readings.ts';
import type { Clock, EpochMs } from '../../shared/time.ts';
import { createStoreTrouble } from '../live/store-trouble.ts';
import { explainStoreError } from './explain.ts';
import type { ReadingsLog } from './readings-log.ts';

/** What judges readings as they are stored: the alarms of a site. */
interface ReadingsJudge {
  /** Marks readings that are not to be believed, before they are stored. */
  appraise(readings: readonly Reading[]): readonly Reading[];
  /** Within the transaction. */
  observe(added: readonly Reading[]): void;
  afterCommit(): void;
  /** A sensor answered, but could not measure. */
  refused(channel: string): void;
  /** Time went on; throws what the database throws. */
  tick(now: EpochMs): void;
}

interface JudgedStoreParts {
  database: Database;
  clock: Pick<Clock, 'now'>;
  log: Pick<ReadingsLog, 'append'>;
  judge: ReadingsJudge;
  /** Told once why nothing can be written, and with null once it can again. */
  onTrouble: (problem: string | null) => void;
}

/** Readings go into the log and are judged in one transaction: nothing is stored that no alarm has seen. */
export function createJudgedStore({ database, clock, log, judge, onTrouble }: JudgedStoreParts) {
  const works = createStoreTrouble(onTrouble);
  const explained = (by: Parameters<typeof works>[0], thrown: unknown) => {
    const error = explainStoreError(thrown, database.name);
    works(by, error.message);
    return error;
  };
  const storeAndJudge = database.transaction((fresh: readonly Reading[]): readonly Reading[] => {
    const added = log.append(fresh);
    judge.observe(added);
    return added;
  });

  return {
    /**
     * Returns what is new of these readings.
     * @throws AppError 'store' in words when they could not be written: the message stays unacknowledged.
     */
    commit(readings: readonly Reading[]): readonly Reading[] {
      try {
        const added = storeAndJudge(judge.appraise(readings));
        judge.afterCommit();
        works('intake', null);
        return added;
      } catch (thrown) {
        throw explained('intake', thrown);
      }
    },
    refused(channel: string): void {
      try {
        judge.refused(channel);
      } catch (thrown) {
        explained('tick', thrown);
      }
    },
    /** Moves on what goes by time; returns whether that could be written. */
    tick(): boolean {
      try {
        judge.tick(clock.now());
        works('tick', null);
        return true;
      } catch (thrown) {
        // A full disk, most likely: the next tick tries again.
        explained('tick', thrown);
        return false;
      }
    },
  };
}
