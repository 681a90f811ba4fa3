import type { Database } from 'better-sqlite3';
import type { AlarmJournalEntry } from '../shared/alarms.ts';
import type { JournalQuestion } from '../shared/ports.ts';

/** Who wrote a line when no person did. */
export const byItself = 'shelfwarden';

/** The append-only record of all that happened to alarms. */
export function createAlarmJournal(database: Database) {
  const insert = database.prepare(`
    INSERT INTO alarm_journal (t, alarm, title, event, from_state, to_state, who, why, value, limit_value)
    VALUES (@t, @alarm, @title, @event, @from, @to, @who, @why, @value, @limit)`);
  const columns = `seq, t, alarm, title, event, from_state AS "from", to_state AS "to", who, why, value,
    limit_value AS "limit"`;
  const within = 't >= @from AND t < @to ORDER BY seq DESC LIMIT @limit';
  const ofAll = database.prepare<unknown[], AlarmJournalEntry>(
    `SELECT ${columns} FROM alarm_journal WHERE ${within}`,
  );
  const ofOne = database.prepare<unknown[], AlarmJournalEntry>(
    `SELECT ${columns} FROM alarm_journal WHERE alarm = @alarm AND ${within}`,
  );

  return {
    /** Adds a line inside the caller's transaction and returns its number. */
    append: (entry: Omit<AlarmJournalEntry, 'seq'>): number => Number(insert.run(entry).lastInsertRowid),

    /** Lines of one alarm or of all, newest first; `from` inclusive, `to` exclusive. */
    read({ alarm, from, to, limit }: JournalQuestion): AlarmJournalEntry[] {
      const span = { from: from ?? Number.MIN_SAFE_INTEGER, to: to ?? Number.MAX_SAFE_INTEGER, limit };
      return alarm === undefined ? ofAll.all(span) : ofOne.all({ ...span, alarm });
    },
  };
}
export type AlarmJournal = ReturnType<typeof createAlarmJournal>;
