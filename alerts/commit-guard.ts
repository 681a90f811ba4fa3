import type { Database } from 'better-sqlite3';
import type { AlarmRecords } from './records.ts';

interface GuardNeeds {
  database: Database;
  records: AlarmRecords;
  /** Brings memory back to what the database holds. */
  reload: () => void;
  /** After a commit that changed something. */
  committed: (what: { changed: boolean; queued: boolean }) => void;
}

/**
 * Keeps memory from running ahead of the database. Each batch of changes counts a mark in the database up
 * within its transaction: when the mark is not there at the next call, that transaction was rolled back.
 */
export function createCommitGuard({ database, records, reload, committed }: GuardNeeds) {
  /** Mark of the newest batch whose commit nobody reported; null: all committed. */
  let uncommitted: number | null = null;
  let marked = false;
  let changed = false;
  let queued = false;

  const commit = () => {
    const what = { changed, queued };
    uncommitted = null;
    changed = false;
    queued = false;
    if (what.changed || what.queued) committed(what);
  };
  const drop = () => {
    uncommitted = null;
    queued = false;
    reload();
  };

  return {
    /** First thing in every call. */
    begin() {
      if (uncommitted !== null && records.mark() !== uncommitted) drop();
      marked = false;
    },
    /** Before a write. */
    touch() {
      changed = true;
      if (marked) return;
      uncommitted = records.bump();
      marked = true;
    },
    /** Something looks different that is not worth a write. */
    look() {
      changed = true;
    },
    queue() {
      queued = true;
    },
    commit,
    /** Runs a batch in a transaction of its own; when it fails, memory follows the database. */
    run<T>(work: () => T): T {
      let result: T;
      try {
        result = database.transaction(work).immediate();
      } catch (thrown) {
        drop();
        throw thrown;
      }
      commit();
      return result;
    },
  };
}
