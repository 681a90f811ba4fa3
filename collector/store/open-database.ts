import { closeSync, existsSync, mkdirSync, openSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import SQLite from 'better-sqlite3';
import type { Migration } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';
import { claim } from './claim.ts';
import { explainStoreError } from './explain.ts';
import { expectMigrated, migrate } from './migrate.ts';

export type Database = SQLite.Database;

export interface DatabaseSettings {
  /** A path, or `:memory:` for a database that ends with its handle. */
  file: string;
  /** FULL keeps every commit through a power cut; NORMAL may lose the last ones. Default FULL. */
  synchronous?: 'FULL' | 'NORMAL';
  migrations: readonly Migration[];
  clock: Pick<Clock, 'now'>;
  /** Read what another handle or process writes; applies no migration. */
  readonly?: boolean;
}

/** Step by step: Node's own recursive form never returns where the system answers ENOENT (under /proc). */
export function makeFolder(folder: string): void {
  if (existsSync(folder)) return;
  if (dirname(folder) !== folder) makeFolder(dirname(folder));
  mkdirSync(folder, { mode: 0o700 });
}

/** Folder for us alone, file for us alone: readings are nobody else's business. */
function makePlace(file: string): void {
  makeFolder(dirname(resolve(file)));
  if (!existsSync(file)) closeSync(openSync(file, 'a', 0o600));
}

function openFile({ file, readonly = false, migrations, clock, synchronous = 'FULL' }: DatabaseSettings) {
  const inMemory = file === ':memory:';
  if (!inMemory && !readonly) makePlace(file);
  const release = inMemory || readonly ? () => {} : claim(file);
  let database: Database | undefined;
  try {
    database = new SQLite(file, { readonly, timeout: 5_000, fileMustExist: readonly });
    database.pragma('foreign_keys = ON');
    database.pragma('cache_size = -32000');
    if (readonly) {
      expectMigrated(database, migrations, file);
      return database;
    }
    database.pragma('journal_mode = WAL');
    database.pragma(`synchronous = ${synchronous}`);
    migrate(database, migrations, clock, file);
  } catch (thrown) {
    database?.close();
    release();
    throw thrown;
  }
  const close = database.close.bind(database);
  database.close = () => {
    close();
    release();
    return database;
  };
  return database;
}

/**
 * A writing handle beside the process that runs on the file, for small changes to tables of which nobody
 * keeps a copy in memory. Applies no migration.
 *
 * @throws AppError `store` or `store-newer`.
 */
export function openBeside(file: string, migrations: readonly Migration[]): Database {
  let database: Database | undefined;
  try {
    database = new SQLite(file, { timeout: 10_000, fileMustExist: true });
    database.pragma('foreign_keys = ON');
    database.pragma('synchronous = FULL');
    expectMigrated(database, migrations, file);
    return database;
  } catch (thrown) {
    database?.close();
    throw explainStoreError(thrown, file);
  }
}

/**
 * Opens (or makes) a database and brings it up to date. A writing handle claims the file for this process.
 *
 * @throws AppError `store`, `store-newer` or `conflict`, with one sentence that says what to do.
 */
export function openDatabase(settings: DatabaseSettings): Database {
  try {
    return openFile(settings);
  } catch (thrown) {
    throw explainStoreError(thrown, settings.file);
  }
}
