import type { Migration } from '../../shared/ports.ts';

const tables = `
CREATE TABLE unload_event (
  seq INTEGER PRIMARY KEY AUTOINCREMENT,
  id TEXT NOT NULL UNIQUE,
  t INTEGER NOT NULL,
  recorded_at INTEGER NOT NULL,
  unload TEXT NOT NULL,
  kind TEXT NOT NULL,
  body TEXT NOT NULL
) STRICT;

CREATE INDEX unload_event_by_unload ON unload_event (unload, seq);

CREATE TRIGGER unload_event_is_never_changed BEFORE UPDATE ON unload_event
BEGIN SELECT raise(ABORT, 'unload events are never changed; record another'); END;

CREATE TRIGGER unload_event_is_never_removed BEFORE DELETE ON unload_event
BEGIN SELECT raise(ABORT, 'unload events are never removed; record a withdrawal'); END;

CREATE TABLE unload_plan (
  unload TEXT PRIMARY KEY,
  body TEXT NOT NULL,
  doses_before TEXT NOT NULL,
  -- Worked out only after the unload: alarms did not go by it.
  late INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE load_belief (
  container TEXT PRIMARY KEY,
  body TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE unload_report (
  unload TEXT PRIMARY KEY,
  body TEXT NOT NULL
) STRICT, WITHOUT ROWID;
`;

/** What happened to unloads, what was expected of each as it began, and what came of it. */
export const unloadMigrations: Migration[] = [
  { part: 'unloads', number: 1, name: 'unload events, plans and reports', sql: tables },
  {
    part: 'unloads',
    number: 2,
    name: 'alarms keep for themselves what they went by',
    sql: 'ALTER TABLE unload_plan DROP COLUMN late',
  },
];
