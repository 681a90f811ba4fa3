import { existsSync, mkdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import SQLite from 'better-sqlite3';
import { AppError, messageOf } from '../../shared/errors.ts';

export interface Backup {
  file: string;
  bytes: number;
  readings: number;
  bagEvents: number;
}

/** Opens the copy as a stranger would, and counts what is in it. Throws when it is damaged. */
function inspect(file: string): Pick<Backup, 'readings' | 'bagEvents'> {
  const copy = new SQLite(file, { readonly: true, fileMustExist: true });
  try {
    const verdict = copy.pragma('integrity_check', { simple: true });
    if (verdict !== 'ok') throw new Error(`integrity check: ${String(verdict)}`);
    const count = (table: string) =>
      copy.prepare<[], number>(`SELECT count(*) FROM ${table}`).pluck().get() ?? 0;
    return { readings: count('reading'), bagEvents: count('bag_event') };
  } finally {
    copy.close();
  }
}

/**
 * Copies a database while it is in use (SQLite's online backup), then opens the copy and checks it. The
 * target appears only once it is whole and good.
 *
 * @throws AppError 'store' when there is nothing to copy, the target is there already, or the copy is not good.
 */
export async function backUp(databaseFile: string, target: string): Promise<Backup> {
  const file = resolve(target);
  if (!existsSync(databaseFile))
    throw new AppError('store', `There is no database at ${databaseFile}; name its folder with --data.`);
  if (existsSync(file))
    throw new AppError('store', `${file} exists already; name a new file, so that no older backup is lost.`);
  const unfinished = `${file}.unfinished`;
  const source = new SQLite(databaseFile, { readonly: true, fileMustExist: true });
  try {
    mkdirSync(dirname(file), { recursive: true, mode: 0o700 });
    rmSync(unfinished, { force: true });
    await source.backup(unfinished);
    const counts = inspect(unfinished);
    renameSync(unfinished, file);
    return { file, bytes: statSync(file).size, ...counts };
  } catch (thrown) {
    rmSync(unfinished, { force: true });
    throw new AppError('store', `The backup to ${file} failed: ${messageOf(thrown)}`, { cause: thrown });
  } finally {
    source.close();
  }
}
