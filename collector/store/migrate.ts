import { createHash } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import { AppError } from '../../shared/errors.ts';
import type { Migration } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';

/** Written into the file's header: tells our databases from anybody else's ("SHLF"). */
const applicationId = 0x53484c46;
/** Grows only if the scheme of migrations itself changes. */
const layout = 1;

const checksumOf = (migration: Migration): string =>
  createHash('sha256').update(migration.sql).digest('hex').slice(0, 16);

/** Groups by part, in order of first mention, and insists on 1, 2, 3 ... within each. */
function inOrder(migrations: readonly Migration[]): Map<string, Migration[]> {
  const parts = new Map<string, Migration[]>();
  for (const migration of migrations) {
    const part = parts.get(migration.part) ?? [];
    if (migration.number !== part.length + 1)
      throw new AppError(
        'store',
        `Migration ${migration.part}/${migration.number} is out of order: ${part.length + 1} is next.`,
      );
    part.push(migration);
    parts.set(migration.part, part);
  }
  return parts;
}

function refuseStrangers(database: Database, file: string): void {
  const id = database.pragma('application_id', { simple: true });
  const version = database.pragma('user_version', { simple: true }) as number;
  const empty = database.prepare('SELECT count(*) FROM sqlite_schema').pluck().get() === 0;
  if (id !== applicationId && !empty)
    throw new AppError(
      'store',
      `${file} is a database of another program. Name another file or data folder (--data).`,
    );
  if (version > layout) throw newer(file);
}

const newer = (file: string, which?: string): AppError =>
  new AppError(
    'store-newer',
    `${file} was written by a newer version of Shelfwarden${which ? ` (${which})` : ''}. ` +
      'Start that version, or restore a backup made by this one.',
  );

/**
 * Brings a database up to date: forward only, each migration once, all of them or none.
 * Parts that this program does not know are left alone.
 *
 * @throws AppError `store-newer` when a part has gone further than this program knows;
 *   `store` when an applied migration differs from the one in this program.
 */
export function migrate(
  database: Database,
  migrations: readonly Migration[],
  clock: Pick<Clock, 'now'>,
  file: string,
): void {
  const parts = inOrder(migrations);
  refuseStrangers(database, file);
  const run = database.transaction(() => {
    database.pragma(`application_id = ${applicationId}`);
    database.pragma(`user_version = ${layout}`);
    database.exec(
      `CREATE TABLE IF NOT EXISTS migration (
         part TEXT NOT NULL, number INTEGER NOT NULL, name TEXT NOT NULL,
         checksum TEXT NOT NULL, applied_at INTEGER NOT NULL,
         PRIMARY KEY (part, number)) STRICT`,
    );
    const applied = database.prepare<[string], { number: number; checksum: string }>(
      'SELECT number, checksum FROM migration WHERE part = ? ORDER BY number',
    );
    const note = database.prepare('INSERT INTO migration VALUES (?, ?, ?, ?, ?)');
    for (const [part, wanted] of parts) {
      const done = applied.all(part);
      if (done.length > wanted.length) throw newer(file, `${part} ${done.length}, known ${wanted.length}`);
      for (const { number, checksum } of done)
        if (checksum !== checksumOf(wanted[number - 1]!))
          throw new AppError(
            'store',
            `${file}: migration ${part}/${number} was applied in another form. Restore a backup, or start the version that wrote it.`,
          );
      for (const migration of wanted.slice(done.length)) {
        database.exec(migration.sql);
        note.run(part, migration.number, migration.name, checksumOf(migration), clock.now());
      }
    }
  });
  run.exclusive();
}

/**
 * For a read-only handle: nothing is applied, but a database that lacks something is refused.
 *
 * @throws AppError `store-newer`, or `store` when it has yet to be migrated.
 */
export function expectMigrated(database: Database, migrations: readonly Migration[], file: string): void {
  const parts = inOrder(migrations);
  refuseStrangers(database, file);
  const known = database.prepare("SELECT count(*) FROM sqlite_schema WHERE name = 'migration'").pluck();
  const counted = database.prepare<[string], number>('SELECT count(*) FROM migration WHERE part = ?').pluck();
  const behind = new AppError(
    'store',
    `${file} is of an older version or empty. Start Shelfwarden on it once, which brings it up to date.`,
  );
  if (known.get() === 0) throw behind;
  for (const [part, wanted] of parts) {
    const done = counted.get(part) ?? 0;
    if (done > wanted.length) throw newer(file, `${part} ${done}, known ${wanted.length}`);
    if (done < wanted.length) throw behind;
  }
}
