import { closeSync, existsSync, fsyncSync, mkdirSync, openSync, renameSync, rmSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import SQLite from 'better-sqlite3';
import { AppError } from '../../shared/errors.ts';
import { explainStoreError } from './explain.ts';

export interface BackupReport {
  file: string;
  bytes: number;
  /** Rows of every table in the copy, counted there. */
  rows: Record<string, number>;
}

function flush(path: string): void {
  const handle = openSync(path, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** Opens a copy as a stranger would, and counts what is in it. */
function verify(file: string): Record<string, number> {
  const copy = new SQLite(file, { readonly: true, fileMustExist: true });
  try {
    const verdict = copy.pragma('integrity_check', { simple: true });
    if (verdict !== 'ok')
      throw new AppError('store', `The backup ${file} is not sound (${verdict}). Check both disks.`);
    const tables = copy
      .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
      .pluck()
      .all();
    const count = (table: string) =>
      copy.prepare<[], number>(`SELECT count(*) FROM "${table}"`).pluck().get()!;
    return Object.fromEntries(tables.sort().map((table) => [table, count(table)]));
  } finally {
    copy.close();
  }
}

/**
 * Copies a database that may be in use to `target`, as of one instant, and checks the copy by opening it.
 * A copy that fails leaves nothing behind, and never replaces a good one. Takes seconds for a large
 * database: call it from a thread, or from a command.
 *
 * @throws AppError `store` with what to do.
 */
export function makeBackup(source: string, target: string): BackupReport {
  const unfinished = `${target}.part`;
  try {
    mkdirSync(dirname(target), { recursive: true, mode: 0o700 });
    rmSync(unfinished, { force: true });
    closeSync(openSync(unfinished, 'w', 0o600));
    const database = new SQLite(source, { readonly: true, fileMustExist: true });
    try {
      database.prepare('VACUUM INTO ?').run(unfinished);
    } finally {
      database.close();
    }
    const rows = verify(unfinished);
    flush(unfinished);
    renameSync(unfinished, target);
    flush(dirname(target));
    return { file: target, bytes: statSync(target).size, rows };
  } catch (thrown) {
    if (existsSync(unfinished)) rmSync(unfinished);
    throw explainStoreError(thrown, target);
  }
}
