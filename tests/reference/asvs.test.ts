import { readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';

const tests = fileURLToPath(new URL('..', import.meta.url));

/** Numbers of the level 1 requirements of OWASP ASVS 4.0.3, by chapter and section; deleted ones are left out. */
const level1: Record<string, readonly number[]> = {
  '2.1': [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12],
  '2.2': [1, 2, 3],
  '2.3': [1],
  '2.5': [1, 2, 3, 4, 5, 6],
  '2.7': [1, 2, 3, 4],
  '2.8': [1],
  '3.1': [1],
  '3.2': [1, 2, 3],
  '3.3': [1, 2],
  '3.4': [1, 2, 3, 4, 5],
  '3.7': [1],
  '4.1': [1, 2, 3, 5],
  '4.2': [1, 2],
  '4.3': [1, 2],
  '5.1': [1, 2, 3, 4, 5],
  '5.2': [1, 2, 3, 4, 5, 6, 7, 8],
  '5.3': [1, 2, 3, 4, 5, 6, 7, 8, 9, 10],
  '5.5': [1, 2, 3, 4],
  '7.1': [1, 2],
  '7.4': [1],
  '12.1': [1],
  '12.3': [1, 2, 3, 4, 5],
  '12.4': [1, 2],
  '12.5': [1, 2],
  '12.6': [1],
  '13.1': [1, 3],
  '13.2': [1, 2, 3],
  '13.3': [1],
  '14.2': [1, 2, 3],
  '14.3': [2, 3],
  '14.4': [1, 2, 3, 4, 5, 6, 7],
  '14.5': [1, 2, 3],
};

const rows = readFileSync(join(tests, 'reference/asvs-level-1.md'), 'utf8')
  .split('\n')
  .flatMap((line) => /^\| ([\d.]+) \| (.+) \| (.+) \|$/.exec(line)?.slice(1) ?? [])
  .reduce<string[][]>((all, cell, index) => {
    if (index % 3 === 0) all.push([]);
    all.at(-1)!.push(cell);
    return all;
  }, []);

/** Every test file by its name, since names are unique enough where the table needs them. */
const files = readdirSync(tests, { recursive: true, encoding: 'utf8' }).filter((file) =>
  file.endsWith('.test.ts'),
);

it('the table of requirements has each of them once, in order', () => {
  expect(rows.map(([number]) => number)).toEqual(
    Object.entries(level1).flatMap(([section, numbers]) => numbers.map((number) => `${section}.${number}`)),
  );
});

it.each(rows)('%s %s: what holds it exists, or why it does not apply is said', (_number, _asks, held) => {
  if (/^(not here|differs): /.test(held!)) return expect(held!.length).toBeGreaterThan(20);
  const [, file, title] = /^([\w-]+\.test\.ts): (.+)$/.exec(held!)!;
  const texts = files
    .filter((path) => basename(path) === file)
    .map((path) => readFileSync(join(tests, path), 'utf8'));
  expect(texts.length, file).toBeGreaterThan(0);
  // As the first words of a test's or a group's title, or of one of the cases that give a test its title.
  const begins = ["'", '"', '`'].map((quote) => quote + title);
  expect(
    texts.some((text) => begins.some((words) => text.includes(words))),
    held,
  ).toBe(true);
});
