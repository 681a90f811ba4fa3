import type { Database } from 'better-sqlite3';
import type { AlarmJournalEntry } from '../shared/alarms.ts';
import type { JournalQuestion } from '../shared/ports.ts';
import type { EpochMs } from '../shared/time.ts';

/** Event of a definition that somebody changed; the state stays. */
export const limitsChanged = 'limits-changed';

/** A question in which place and priority have become the alarms they stand for. */
export type JournalLines = Omit<JournalQuestion, 'place' | 'priority'> & { alarms?: readonly string[] };

/** The append-only record of all that happened to alarms. */
export function createAlarmJournal(database: Database) {
  const insert = database.prepare(`
    INSERT INTO alarm_journal (t, alarm, title, event, from_state, to_state, who, why, value, limit_value)
    VALUES (@t, @alarm, @title, @event, @from, @to, @who, @why, @value, @limit)`);
  const columns = `seq, t, alarm, title, event, from_state AS "from", to_state AS "to", who, why, value,
    limit_value AS "limit"`;
  const within = `t >= @from AND t < @to AND seq < @before
    AND (@state IS NULL OR to_state = @state) AND (@who IS NULL OR who = @who COLLATE NOCASE)
    AND (@alarms IS NULL OR alarm IN (SELECT value FROM json_each(@alarms)))
    ORDER BY seq DESC LIMIT @limit`;
  const ofAll = database.prepare<unknown[], AlarmJournalEntry>(
    `SELECT ${columns} FROM alarm_journal WHERE ${within}`,
  );
  const ofOne = database.prepare<unknown[], AlarmJournalEntry>(
    `SELECT ${columns} FROM alarm_journal WHERE alarm = @alarm AND ${within}`,
  );
  const lastBefore = database.prepare<[EpochMs], AlarmJournalEntry>(
    `SELECT ${columns} FROM alarm_journal
    WHERE seq IN (SELECT max(seq) FROM alarm_journal WHERE t < ? GROUP BY alarm) ORDER BY seq`,
  );
  const during = database.prepare<[EpochMs, EpochMs], AlarmJournalEntry>(
    `SELECT ${columns} FROM alarm_journal WHERE t >= ? AND t < ? ORDER BY seq`,
  );

  return {
    /** Adds a line inside the caller's transaction and returns its number. */
    append: (entry: Omit<AlarmJournalEntry, 'seq'>): number => Number(insert.run(entry).lastInsertRowid),

    /**
     * Lines of one alarm or of all, newest first; `from` inclusive, `to` exclusive. `alarms` are those that
     * a place or a priority stands for; `who` in any case, as older lines have 'shelfwarden'.
     */
    read({ alarm, alarms, from, to, before, state, who, limit }: JournalLines): AlarmJournalEntry[] {
      const filter = {
        from: from ?? Number.MIN_SAFE_INTEGER,
        to: to ?? Number.MAX_SAFE_INTEGER,
        before: before ?? Number.MAX_SAFE_INTEGER,
        state: state ?? null,
        who: who ?? null,
        alarms: alarms === undefined ? null : JSON.stringify(alarms),
        limit,
      };
      return alarm === undefined ? ofAll.all(filter) : ofOne.all({ ...filter, alarm });
    },

    /** All lines of a span as they were written, led by the last line of each alarm before it. */
    span: (from: EpochMs, to: EpochMs): AlarmJournalEntry[] => [
      ...lastBefore.all(from),
      ...during.all(from, to),
    ],
  };
}
export type AlarmJournal = ReturnType<typeof createAlarmJournal>;
