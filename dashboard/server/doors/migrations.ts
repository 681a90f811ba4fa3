import type { Migration } from '../../../shared/ports.ts';

/** Secrets never stand here: only hashes of them do. */
const doors = `
CREATE TABLE person (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  name_key TEXT NOT NULL UNIQUE,
  role TEXT NOT NULL CHECK (role IN ('viewer', 'operator', 'admin')),
  password TEXT,
  created_at INTEGER NOT NULL,
  disabled_at INTEGER
) STRICT, WITHOUT ROWID;

CREATE TABLE invite (
  token TEXT PRIMARY KEY,
  person TEXT NOT NULL REFERENCES person (id),
  expires_at INTEGER NOT NULL,
  used_at INTEGER
) STRICT, WITHOUT ROWID;

CREATE TABLE session (
  token TEXT PRIMARY KEY,
  person TEXT NOT NULL REFERENCES person (id),
  created_at INTEGER NOT NULL,
  seen_at INTEGER NOT NULL,
  address TEXT NOT NULL,
  device TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX session_by_person ON session (person);

CREATE TABLE wall (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  token TEXT NOT NULL UNIQUE,
  rooms TEXT,
  may_acknowledge INTEGER NOT NULL,
  paired_by TEXT NOT NULL,
  paired_at INTEGER NOT NULL,
  revoked_at INTEGER
) STRICT, WITHOUT ROWID;

CREATE TABLE wall_seen (
  wall TEXT NOT NULL REFERENCES wall (id),
  address TEXT NOT NULL,
  first_at INTEGER NOT NULL,
  last_at INTEGER NOT NULL,
  PRIMARY KEY (wall, address)
) STRICT, WITHOUT ROWID;

CREATE TABLE script (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  token TEXT NOT NULL UNIQUE,
  scopes TEXT NOT NULL,
  made_by TEXT NOT NULL,
  made_at INTEGER NOT NULL,
  expires_at INTEGER NOT NULL,
  used_at INTEGER,
  revoked_at INTEGER
) STRICT, WITHOUT ROWID;

CREATE TABLE door_journal (
  seq INTEGER PRIMARY KEY,
  t INTEGER NOT NULL,
  who TEXT NOT NULL,
  via TEXT NOT NULL,
  address TEXT NOT NULL,
  act TEXT NOT NULL,
  subject TEXT NOT NULL,
  before TEXT,
  after TEXT,
  chain TEXT NOT NULL
) STRICT;

CREATE TRIGGER door_journal_is_never_changed BEFORE UPDATE ON door_journal
BEGIN SELECT raise(ABORT, 'the journal of doors is never changed'); END;

CREATE TRIGGER door_journal_is_never_removed BEFORE DELETE ON door_journal
BEGIN SELECT raise(ABORT, 'the journal of doors is never shortened'); END;
`;

const devices = `
CREATE TABLE device (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  token TEXT NOT NULL,
  topic TEXT NOT NULL,
  hears INTEGER NOT NULL,
  made_by TEXT NOT NULL,
  made_at INTEGER NOT NULL,
  seen_at INTEGER,
  revoked_at INTEGER
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX device_by_name ON device (name) WHERE revoked_at IS NULL;
`;

export const doorMigrations: Migration[] = [
  { part: 'doors', number: 1, name: 'doors', sql: doors },
  { part: 'doors', number: 2, name: 'devices', sql: devices },
];
