import { mkdirSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import SQLite from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import type { Migration } from '../../../../shared/ports.ts';

const clock = { now: () => 1_000 };
const step = (number: number, part = 'birds', sql = `CREATE TABLE ${part}_${number} (x)`): Migration => {
  return { part, number, name: `step ${number}`, sql };
};

let folder: string;
let file: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shelfwarden-'));
  file = join(folder, 'data', 'site.db');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const openThenClose = (migrations: Migration[], extra: { readonly?: boolean } = {}) =>
  openDatabase({ file, migrations, clock, ...extra }).close();

test('makes folder and file for this user alone, with the settings that keep data', () => {
  const database = openDatabase({ file, migrations: [step(1)], clock });
  expect(statSync(join(folder, 'data')).mode & 0o777).toBe(0o700);
  expect(statSync(file).mode & 0o777).toBe(0o600);
  expect(database.pragma('journal_mode', { simple: true })).toBe('wal');
  expect(database.pragma('synchronous', { simple: true })).toBe(2);
  expect(database.pragma('foreign_keys', { simple: true })).toBe(1);
  database.close();
});

test('applies each migration once, new ones later, parts apart', () => {
  openThenClose([step(1)]);
  openThenClose([step(1), step(2), step(1, 'bees')]);
  const database = openDatabase({ file, migrations: [step(1), step(2)], clock });
  const rows = database.prepare('SELECT part, number, applied_at FROM migration ORDER BY 1, 2').raw().all();
  expect(rows).toEqual([
    ['bees', 1, 1_000],
    ['birds', 1, 1_000],
    ['birds', 2, 1_000],
  ]);
  database.close();
});

test('a migration that fails leaves the database as it was', () => {
  openThenClose([step(1)]);
  expect(() => openThenClose([step(1), step(2), step(3, 'birds', 'CREATE TABEL')])).toThrow(/syntax error/);
  const database = openDatabase({ file, migrations: [step(1)], clock });
  expect(database.prepare("SELECT count(*) FROM sqlite_schema WHERE name = 'birds_2'").pluck().get()).toBe(0);
  database.close();
});

test('refuses a database of a newer version, in words', () => {
  openThenClose([step(1), step(2)]);
  const expected = { code: 'store-newer', message: expect.stringMatching(/newer version.*backup/) };
  expect(() => openThenClose([step(1)])).toThrow(expect.objectContaining(expected));
  expect(() => openThenClose([step(1)], { readonly: true })).toThrow(expect.objectContaining(expected));
  const raw = new SQLite(file);
  raw.pragma('user_version = 999');
  raw.close();
  expect(() => openThenClose([step(1), step(2)])).toThrow(expect.objectContaining(expected));
});

test('refuses a migration that changed after it was applied', () => {
  openThenClose([step(1)]);
  expect(() => openThenClose([step(1, 'birds', 'CREATE TABLE other (x)')])).toThrow(/birds\/1.*another form/);
});

test('refuses a gap in the numbers', () => {
  expect(() => openThenClose([step(1), step(3)])).toThrow(/birds\/3 is out of order: 2 is next/);
});

test('refuses a file that is not a database, or another program’s', () => {
  writeFileSync(join(folder, 'letter.txt'), 'Dear all, this is no database at all.'.repeat(50));
  expect(() => openDatabase({ file: join(folder, 'letter.txt'), migrations: [], clock })).toThrow(
    /letter.txt is not a database.*--data/,
  );
  const other = new SQLite(join(folder, 'other.db'));
  other.exec('CREATE TABLE recipes (x)');
  other.close();
  expect(() => openDatabase({ file: join(folder, 'other.db'), migrations: [], clock })).toThrow(
    /another program/,
  );
});

test('says in one sentence why a place cannot be written', () => {
  writeFileSync(join(folder, 'plain'), '');
  const cannot = (path: string) => () => openDatabase({ file: path, migrations: [], clock });
  expect(cannot(join(folder, 'plain', 'site.db'))).toThrow(/a part of its path is a file.*--data/);
  expect(cannot('/proc/shelfwarden/site.db')).toThrow(/cannot be made there.*--data/);
  mkdirSync(file, { recursive: true });
  expect(cannot(file)).toThrow(/--data/);
});

test('two writers never share a file; readers may look on', () => {
  const database = openDatabase({ file, migrations: [step(1)], clock });
  expect(() => openThenClose([step(1)])).toThrow(
    expect.objectContaining({ code: 'conflict', message: expect.stringMatching(/Another Shelfwarden/) }),
  );
  openThenClose([step(1)], { readonly: true });
  database.close();
  openThenClose([step(1)]);
});

test('a reader refuses a database that has yet to be brought up to date', () => {
  openThenClose([step(1)]);
  expect(() => openThenClose([step(1), step(2)], { readonly: true })).toThrow(/older version/);
});
