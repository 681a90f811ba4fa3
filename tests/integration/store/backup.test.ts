import { mkdtempSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { bagMigrations } from '../../../collector/bags/migrations.ts';
import { backUp, backupTimes, thinBackups } from '../../../collector/store/backup.ts';
import { makeBackup } from '../../../collector/store/make-backup.ts';
import { storeMigrations } from '../../../collector/store/migrations.ts';
import { type Database, openDatabase } from '../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../collector/store/readings-log.ts';
import { createRetention } from '../../../collector/store/retention.ts';
import { startUpkeep } from '../../../collector/store/upkeep.ts';
import type { PartHealth } from '../../../shared/live.ts';
import { createManualClock } from '../../../shared/manual-clock.ts';
import { dayMs, hourMs, minuteMs } from '../../../shared/time.ts';
import { readingOf, t0 } from '../../tools/history-suite.ts';

const migrations = [...storeMigrations, ...bagMigrations];
let folder: string;
let file: string;
let backups: string;
let database: Database;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shelfwarden-'));
  file = join(folder, 'site.db');
  backups = join(folder, 'backups');
  database = openDatabase({ file, migrations, clock: { now: () => t0 } });
});
afterEach(() => {
  database.close();
  rmSync(folder, { recursive: true, force: true });
});

test('a database in use is backed up as of one instant, and the copy is whole', async () => {
  const log = createReadingsLog(database);
  log.append(Array.from({ length: 20_000 }, (_, index) => readingOf(t0 + index, 20)));
  log.settle(5_000);
  const underWay = backUp(file, backups, t0);
  let during = 0;
  let over = false;
  const done = underWay.finally(() => {
    over = true;
  });
  while (!over) {
    log.append([readingOf(t0 + 30_000 + during++, 21)]);
    await new Promise((resolve) => setImmediate(resolve));
  }
  const report = await done;
  expect(during).toBeGreaterThan(5);
  expect(report.file).toBe(join(backups, 'shelfwarden-2026-09-01T00-00-00Z.db'));
  expect(report.rows.reading).toBeGreaterThanOrEqual(20_000);
  expect(report.bytes).toBe(statSync(report.file).size);
  expect(statSync(report.file).mode & 0o777).toBe(0o600);
  expect(readdirSync(backups)).toHaveLength(1);

  const restored = openDatabase({ file: report.file, migrations, clock: { now: () => t0 } });
  const again = createReadingsLog(restored);
  while (again.settle() > 0);
  expect(restored.prepare('SELECT sum(count) FROM rollup_6h').pluck().get()).toBe(report.rows.reading);
  restored.close();
});

test('a copy that fails leaves nothing behind and says what to do', async () => {
  writeFileSync(join(folder, 'plain'), '');
  await expect(backUp(file, join(folder, 'plain'), t0)).rejects.toMatchObject({
    code: 'store',
    message: expect.stringMatching(/a part of its path is a file/),
  });
  expect(() => makeBackup(join(folder, 'none.db'), join(backups, 'copy.db'))).toThrow(/cannot be opened/);
  expect(readdirSync(backups)).toEqual([]);
});

test('the oldest backups go, other files stay', () => {
  const names = ['2026-09-01T02-30-00', '2026-09-03T02-30-00', '2026-09-02T02-30-00'];
  for (const name of names) writeFileSync(join(folder, `shelfwarden-${name}Z.db`), '');
  writeFileSync(join(folder, 'shelfwarden-notes.db'), '');
  thinBackups(folder, 2);
  expect(backupTimes(folder)).toEqual([t0 + dayMs + 2.5 * hourMs, t0 + 2 * dayMs + 2.5 * hourMs]);
  expect(readdirSync(folder)).toContain('shelfwarden-notes.db');
});

test('a machine that is off at night catches up after its start, and says how it went', async () => {
  const clock = createManualClock(t0 + 100 * dayMs);
  const log = createReadingsLog(database);
  log.append([readingOf(t0, 20), readingOf(t0 + 99 * dayMs, 21)]);
  log.settle();
  const said: PartHealth[] = [];
  let tell: () => void = () => {};
  const upkeep = startUpkeep({
    file,
    backupFolder: backups,
    retention: createRetention({ database, log, clock, rawDays: 90, forwarding: false }),
    clock,
    timeZone: 'Europe/Berlin',
    onHealth(health) {
      said.push(health);
      tell();
    },
  });
  const both = new Promise<void>((resolve) => {
    tell = () => said.length === 2 && resolve();
  });
  clock.advanceBy(11 * minuteMs);
  await new Promise((resolve) => setImmediate(resolve));
  clock.advanceBy(minuteMs);
  await both;
  await upkeep.stop();
  expect(said).toMatchObject([
    { part: 'retention', state: 'ok', text: '1 old raw readings dropped' },
    { part: 'backup', state: 'ok', text: expect.stringMatching(/1 raw readings, verified$/) },
  ]);
});
