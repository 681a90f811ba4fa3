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
  {
    part: 'alerts',
    number: 3,
    name: 'delivery by routes',
    sql: `
      CREATE TABLE alarm_outbox_next (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        -- What it tells of: the number of a journal line, or the name of a digest or gathered message.
        key TEXT NOT NULL,
        seq INTEGER REFERENCES alarm_journal (seq),
        alarm TEXT,
        thread TEXT,
        reason TEXT NOT NULL,
        priority INTEGER NOT NULL,
        recipient TEXT NOT NULL,
        channel TEXT NOT NULL,
        message TEXT NOT NULL,
        state TEXT NOT NULL DEFAULT 'waiting'
          CHECK (state IN ('waiting', 'held', 'gathered', 'sent', 'replaced', 'failed', 'withheld')),
        attempts INTEGER NOT NULL DEFAULT 0,
        next_at INTEGER NOT NULL,
        queued_at INTEGER NOT NULL,
        done_at INTEGER,
        last_error TEXT,
        -- Another way was tried because this one failed or was too slow.
        failed_over INTEGER NOT NULL DEFAULT 0,
        -- The message that this one went out with.
        via INTEGER,
        UNIQUE (key, recipient, channel)
      );
      INSERT INTO alarm_outbox_next (id, key, seq, alarm, thread, reason, priority, recipient, channel,
          message, state, attempts, next_at, queued_at, done_at, last_error)
        SELECT id, seq, seq, alarm, thread, 'raised', priority, recipient, channel,
          message, state, attempts, next_at, queued_at, done_at, last_error FROM alarm_outbox;
      DROP TABLE alarm_outbox;
      ALTER TABLE alarm_outbox_next RENAME TO alarm_outbox;
      CREATE INDEX alarm_outbox_waiting ON alarm_outbox (channel, priority, id) WHERE state = 'waiting';
      CREATE INDEX alarm_outbox_held ON alarm_outbox (next_at) WHERE state = 'held';
      CREATE INDEX alarm_outbox_order ON alarm_outbox (alarm, recipient, channel, id) WHERE state = 'waiting';
      CREATE INDEX alarm_outbox_by_alarm ON alarm_outbox (alarm, thread);

      -- Alarms that nobody has acknowledged yet, and when the next on their route are told.
      CREATE TABLE alarm_escalation (
        alarm TEXT PRIMARY KEY,
        seq INTEGER NOT NULL,
        thread TEXT NOT NULL,
        step INTEGER NOT NULL,
        due_at INTEGER,
        news TEXT NOT NULL
      ) WITHOUT ROWID;
      CREATE INDEX alarm_escalation_due ON alarm_escalation (due_at) WHERE due_at IS NOT NULL;

      -- Webhooks that answered 410; the fingerprint is of the address, which may hold a secret.
      CREATE TABLE delivery_gone (
        channel TEXT PRIMARY KEY, fingerprint TEXT NOT NULL, at INTEGER NOT NULL
      ) WITHOUT ROWID;

      CREATE TABLE alarm_link_used (link TEXT PRIMARY KEY, at INTEGER NOT NULL, who TEXT NOT NULL) WITHOUT ROWID;

      -- What the broker keeps for us: retained states to be made true again.
      CREATE TABLE alarm_announced (topic TEXT PRIMARY KEY, payload TEXT NOT NULL) WITHOUT ROWID;
    `,
  },
  {
    part: 'alerts',
    number: 4,
    name: 'when alarms were last watched',
    sql: 'CREATE TABLE alarm_watched (id INTEGER PRIMARY KEY CHECK (id = 1), t INTEGER NOT NULL);',
  },
  {
    part: 'alerts',
    number: 5,
    name: 'cores as alarms were told of them',
    sql: `
      CREATE TABLE core_signal (id INTEGER PRIMARY KEY, signal TEXT NOT NULL UNIQUE);
      CREATE TABLE core_kept (
        signal INTEGER NOT NULL, t INTEGER NOT NULL, value REAL, PRIMARY KEY (signal, t)
      ) WITHOUT ROWID;
    `,
  },
  {
    part: 'alerts',
    number: 6,
    name: 'when unloads held alarms back',
    sql: `
      CREATE TABLE unload_hold (
        room TEXT NOT NULL, since INTEGER NOT NULL, until INTEGER, PRIMARY KEY (room, since)
      ) WITHOUT ROWID;
    `,
  },
];
