import { readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { AppError } from '../../shared/errors.ts';
import type { EpochMs } from '../../shared/time.ts';
import { startThread } from '../start-thread.ts';
import type { BackupReport } from './make-backup.ts';

const named = /^shelfwarden-(\d{4}-\d{2}-\d{2}T\d{2}-\d{2}-\d{2})Z\.db$/;

/** `shelfwarden-2026-11-25T02-30-00Z.db`: sorts by time, and is a name everywhere. */
const backupName = (t: EpochMs): string =>
  `shelfwarden-${new Date(t).toISOString().slice(0, 19).replaceAll(':', '-')}Z.db`;

/** Times of the backups in a folder, oldest first. */
export function backupTimes(folder: string): EpochMs[] {
  let names: string[];
  try {
    names = readdirSync(folder);
  } catch {
    return [];
  }
  return names
    .map((name) => named.exec(name)?.[1])
    .filter((stamp) => stamp !== undefined)
    .sort()
    .map((stamp) => Date.parse(`${stamp.slice(0, 10)}${stamp.slice(10).replaceAll('-', ':')}Z`));
}

/** Removes the oldest backups of a folder until `keep` are left. Other files are not touched. */
export function thinBackups(folder: string, keep: number): void {
  const times = backupTimes(folder);
  for (const t of times.slice(0, Math.max(0, times.length - keep))) rmSync(join(folder, backupName(t)));
}

/**
 * Backs a database up in a thread of its own, so that intake goes on meanwhile.
 *
 * @throws AppError `store` with what to do.
 */
export async function backUp(source: string, folder: string, at: EpochMs): Promise<BackupReport> {
  const target = join(folder, backupName(at));
  const worker = startThread('store/backup-thread', 'backup', { source, target });
  const answer = await new Promise<{ report: BackupReport } | { problem: string }>((resolve, reject) => {
    worker.once('message', resolve);
    worker.once('error', reject);
    worker.once('exit', () => reject(new AppError('store', 'The backup ended without a word.')));
  });
  await worker.terminate();
  if ('problem' in answer) throw new AppError('store', answer.problem);
  return answer.report;
}
