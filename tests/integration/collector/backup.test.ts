import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import SQLite from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { bagMigrations } from '../../../collector/bags/migrations.ts';
import { backUp } from '../../../collector/store/backup.ts';
import { storeMigrations } from '../../../collector/store/migrations.ts';
import { openDatabase } from '../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../collector/store/readings-log.ts';
import { createManualClock } from '../../../shared/manual-clock.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shelfwarden-backup-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function openSource() {
  const file = join(folder, 'shelfwarden.db');
  const database = openDatabase({
    file,
    migrations: [...storeMigrations, ...bagMigrations],
    clock: createManualClock(1_000_000),
  });
  const log = createReadingsLog(database);
  const store = (t: number) =>
    log.append([
      { channel: 'a.temperature', t, value: 21, raw: 21, quality: 'good', retained: false, receivedAt: t },
    ]);
  return { file, database, store };
}

test('a backup made while the database is open and written to holds what was committed', async () => {
  const { file, database, store } = openSource();
  for (let minute = 0; minute < 500; minute++) store(minute * 60_000);
  const made = await backUp(file, join(folder, 'copies', 'monday.db'));
  store(500 * 60_000);
  expect(made.readings).toBe(500);
  expect(made.bagEvents).toBe(0);
  const copy = new SQLite(made.file, { readonly: true });
  expect(copy.prepare('SELECT count(*) FROM reading').pluck().get()).toBe(500);
  copy.close();
  database.close();
});

test('an older backup is never written over', async () => {
  const { file, database } = openSource();
  const target = join(folder, 'kept.db');
  writeFileSync(target, 'precious');
  await expect(backUp(file, target)).rejects.toThrow(/exists already; name a new file/);
  database.close();
});

test('nothing to copy is said with where it was looked for', async () => {
  await expect(backUp(join(folder, 'none.db'), join(folder, 'copy.db'))).rejects.toThrow(
    /no database at .*none\.db/,
  );
});

test('a file that is no database leaves no half-made copy behind', async () => {
  const broken = join(folder, 'broken.db');
  writeFileSync(broken, 'this is not a database'.repeat(100));
  await expect(backUp(broken, join(folder, 'copy.db'))).rejects.toThrow(/backup to .*copy\.db failed/);
  expect(() => new SQLite(join(folder, 'copy.db'), { fileMustExist: true })).toThrow();
});
