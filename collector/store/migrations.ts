import type { Migration } from '../../shared/ports.ts';

/**
 * Readings and their roll-ups.
 *
 * Marks of a series, all epoch ms:
 * - `rolled_to`: stored roll-ups hold exactly the readings with t <= rolled_to; what is later is still to
 *   be settled from the raw readings. So the hot path writes one row, and a crash leaves nothing to repair.
 * - `raw_from`: raw readings before it may have been dropped.
 * - `forwarded_to`: same idea for a follower such as InfluxDB, null until there is one; late readings
 *   behind it wait in `late_reading`.
 *
 * Rows are small on purpose: `raw` is null where it equals `value`, `received` where it is within a minute
 * of t, and a bucket of one reading keeps it in `total` alone (27 instead of 61 bytes).
 */
const readings = `
CREATE TABLE series (
  id INTEGER PRIMARY KEY,
  channel TEXT NOT NULL UNIQUE,
  rolled_to INTEGER NOT NULL DEFAULT -1,
  raw_from INTEGER NOT NULL DEFAULT 0,
  forwarded_to INTEGER
) STRICT;

CREATE TABLE reading (
  series INTEGER NOT NULL,
  t INTEGER NOT NULL,
  value REAL NOT NULL,
  raw REAL,
  quality INTEGER NOT NULL,
  received INTEGER,
  PRIMARY KEY (series, t)
) STRICT, WITHOUT ROWID;

CREATE TABLE late_reading (
  seq INTEGER PRIMARY KEY AUTOINCREMENT,
  series INTEGER NOT NULL,
  t INTEGER NOT NULL
) STRICT;
`;

const rollup = (table: string) => `
CREATE TABLE ${table} (
  series INTEGER NOT NULL,
  t INTEGER NOT NULL,
  marked INTEGER NOT NULL,
  count INTEGER NOT NULL,
  low REAL,
  high REAL,
  total REAL NOT NULL,
  last REAL,
  last_ms INTEGER NOT NULL,
  PRIMARY KEY (series, t, marked)
) STRICT, WITHOUT ROWID;
`;

/** The store's own tables. */
export const storeMigrations: Migration[] = [
  {
    part: 'store',
    number: 1,
    name: 'readings and roll-ups',
    sql: readings + ['rollup_1m', 'rollup_15m', 'rollup_6h'].map(rollup).join(''),
  },
];
