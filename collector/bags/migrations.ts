import type { Migration } from '../../shared/ports.ts';

/** `recorded_at` is null for imported events: they count as known when they happened. */
const events = `
CREATE TABLE bag_event (
  seq INTEGER PRIMARY KEY AUTOINCREMENT,
  id TEXT NOT NULL UNIQUE,
  t INTEGER NOT NULL,
  recorded_at INTEGER,
  batch TEXT NOT NULL,
  kind TEXT NOT NULL,
  body TEXT NOT NULL
) STRICT;

CREATE INDEX bag_event_by_batch ON bag_event (batch, t);

CREATE TRIGGER bag_event_is_never_changed BEFORE UPDATE ON bag_event
BEGIN SELECT raise(ABORT, 'bag events are never changed; record another'); END;

CREATE TRIGGER bag_event_is_never_removed BEFORE DELETE ON bag_event
BEGIN SELECT raise(ABORT, 'bag events are never removed; record an undone'); END;
`;

export const bagMigrations: Migration[] = [{ part: 'bags', number: 1, name: 'bag events', sql: events }];
