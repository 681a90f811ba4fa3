import SQLite from 'better-sqlite3';
import { AppError } from '../../shared/errors.ts';

/**
 * Claims a database file for this process, so that two never write it: what they keep in memory would
 * differ, and every alarm would ring twice. The claim is a lock the operating system drops by itself
 * when the process ends, however it ends.
 *
 * @returns gives the claim back.
 * @throws AppError `conflict` when another process holds it.
 */
export function claim(file: string): () => void {
  const lock = new SQLite(`${file}.lock`, { timeout: 0 });
  try {
    lock.pragma('journal_mode = MEMORY');
    lock.exec('BEGIN EXCLUSIVE');
  } catch (cause) {
    lock.close();
    if (!String((cause as { code?: string }).code).startsWith('SQLITE_BUSY')) throw cause;
    throw new AppError(
      'conflict',
      `Another Shelfwarden is running on ${file}. Stop it first, or name another data folder (--data).`,
      { cause },
    );
  }
  return () => lock.close();
}
