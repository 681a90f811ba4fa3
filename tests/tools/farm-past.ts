import { createHash } from 'node:crypto';
import { join } from 'node:path';
import SQLite from 'better-sqlite3';
import { databaseName } from '../../collector/data-folder.ts';
import { systemClock } from '../../collector/system-clock.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';

/** What a farm's database held at an instant, to be compared with what it holds later. */
export interface FarmPast {
  at: EpochMs;
  /** Readings from before this instant are all in; later ones may still arrive from a sensor's memory. */
  readingsBefore: EpochMs;
  last: { bag_event: number; alarm_journal: number; alarm_outbox: number };
  digest: string;
}

const keyOf = { bag_event: 'seq', alarm_journal: 'seq', alarm_outbox: 'id' } as const;
const columnsOf = {
  bag_event: '*',
  alarm_journal: '*',
  // What is tried again changes its own row; what it says and to whom does not.
  alarm_outbox: 'id, seq, alarm, recipient, channel, message',
} as const;
const tables = ['bag_event', 'alarm_journal', 'alarm_outbox'] as const;

const reading = <T>(folder: string, use: (database: SQLite.Database) => T): T => {
  const database = new SQLite(join(folder, databaseName), { readonly: true });
  try {
    return use(database);
  } finally {
    database.close();
  }
};
const numberIn = (database: SQLite.Database, sql: string, ...values: number[]): number =>
  database
    .prepare<number[], number | null>(sql)
    .pluck()
    .get(...values) ?? 0;

function digestOf(database: SQLite.Database, { readingsBefore, last }: Omit<FarmPast, 'digest'>): string {
  const hash = createHash('sha256');
  for (const table of tables)
    for (const row of database
      .prepare(`SELECT ${columnsOf[table]} FROM ${table} WHERE ${keyOf[table]} <= ? ORDER BY 1`)
      .iterate(last[table]))
      hash.update(JSON.stringify(row));
  const readings = database.prepare('SELECT * FROM reading WHERE t < ? ORDER BY series, t');
  for (const row of readings.iterate(readingsBefore)) hash.update(JSON.stringify(row));
  return hash.digest('hex');
}

/** Takes note of the database of the farm whose data folder is `folder`; it may be in use. */
export function pastOf(folder: string): FarmPast {
  return reading(folder, (database) => {
    const at = systemClock.now();
    const lastOf = (table: (typeof tables)[number]) =>
      numberIn(database, `SELECT max(${keyOf[table]}) FROM ${table}`);
    const past = {
      at,
      readingsBefore: at - 3 * hourMs,
      last: {
        bag_event: lastOf('bag_event'),
        alarm_journal: lastOf('alarm_journal'),
        alarm_outbox: lastOf('alarm_outbox'),
      },
    };
    return { ...past, digest: digestOf(database, past) };
  });
}

/** What came since: whether the past itself was touched, and how much was added to it. */
export function changesSince(folder: string, past: FarmPast) {
  return reading(folder, (database) => {
    const added = (table: (typeof tables)[number]) =>
      numberIn(database, `SELECT count(*) FROM ${table} WHERE ${keyOf[table]} > ?`, past.last[table]);
    const now = systemClock.now();
    return {
      pastTouched: digestOf(database, past) !== past.digest,
      bagEvents: added('bag_event'),
      journal: added('alarm_journal'),
      outbox: added('alarm_outbox'),
      readings: numberIn(database, 'SELECT count(*) FROM reading WHERE t >= ?', past.at),
      readingsOfLater: numberIn(database, 'SELECT count(*) FROM reading WHERE t > ?', now + 2 * minuteMs),
      channels: numberIn(database, 'SELECT count(*) FROM series'),
      minutes: (now - past.at) / minuteMs,
    };
  });
}
