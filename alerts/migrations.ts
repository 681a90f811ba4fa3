import type { Migration } from '../shared/ports.ts';

/** Tables of this part. The journal can only grow: changing or deleting a line is refused by triggers. */
export const alertMigrations: Migration[] = [
  {
    part: 'alerts',
    number: 1,
    name: 'alarms',
    sql: `
      CREATE TABLE alarm_state (
        alarm TEXT PRIMARY KEY,
        memory TEXT NOT NULL,
        title TEXT NOT NULL,
        value REAL,
        peak REAL,
        thread TEXT,
        words TEXT
      ) WITHOUT ROWID;

      CREATE TABLE alarm_watch (
        alarm TEXT NOT NULL,
        watch TEXT NOT NULL,
        memory TEXT NOT NULL,
        PRIMARY KEY (alarm, watch)
      ) WITHOUT ROWID;

      CREATE TABLE alarm_journal (
        seq INTEGER PRIMARY KEY AUTOINCREMENT,
        t INTEGER NOT NULL,
        alarm TEXT NOT NULL,
        title TEXT NOT NULL,
        event TEXT NOT NULL,
        from_state TEXT NOT NULL,
        to_state TEXT NOT NULL,
        who TEXT NOT NULL,
        why TEXT,
        value REAL,
        limit_value REAL
      );
      CREATE INDEX alarm_journal_by_alarm ON alarm_journal (alarm, seq);
      CREATE INDEX alarm_journal_by_time ON alarm_journal (t);
      CREATE TRIGGER alarm_journal_keeps_lines BEFORE UPDATE ON alarm_journal
        BEGIN SELECT RAISE(ABORT, 'the alarm journal is append-only'); END;
      CREATE TRIGGER alarm_journal_loses_nothing BEFORE DELETE ON alarm_journal
        BEGIN SELECT RAISE(ABORT, 'the alarm journal is append-only'); END;

      CREATE TABLE alarm_outbox (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        seq INTEGER NOT NULL REFERENCES alarm_journal (seq),
        alarm TEXT NOT NULL,
        thread TEXT NOT NULL,
        priority INTEGER NOT NULL,
        recipient TEXT NOT NULL,
        channel TEXT NOT NULL,
        message TEXT NOT NULL,
        state TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'sent', 'failed', 'withheld')),
        attempts INTEGER NOT NULL DEFAULT 0,
        next_at INTEGER NOT NULL,
        queued_at INTEGER NOT NULL,
        done_at INTEGER,
        last_error TEXT,
        UNIQUE (seq, recipient, channel)
      );
      CREATE INDEX alarm_outbox_waiting ON alarm_outbox (priority, id) WHERE state = 'waiting';
      CREATE INDEX alarm_outbox_order ON alarm_outbox (alarm, recipient, channel, id) WHERE state = 'waiting';
      CREATE INDEX alarm_outbox_by_alarm ON alarm_outbox (alarm, thread);

      CREATE TABLE alarm_mark (id INTEGER PRIMARY KEY CHECK (id = 1), n INTEGER NOT NULL);
      INSERT INTO alarm_mark VALUES (1, 0);
    `,
  },
  {
    part: 'alerts',
    number: 2,
    name: 'what signals learned',
    sql: 'CREATE TABLE alarm_signal (signal TEXT PRIMARY KEY, memory TEXT NOT NULL) WITHOUT ROWID;',
  },
];
