import { execFile } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { fitCommand } from '../../../collector/commands/fit.ts';
import { messageOf } from '../../../shared/errors.ts';

const root = fileURLToPath(new URL('../../..', import.meta.url));
let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'fit-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

/** Runs the command line as a person does. */
const runFit = (table: string, ...options: string[]): Promise<{ code: number; out: string; err: string }> => {
  const path = join(folder, 'rates.csv');
  writeFileSync(path, table);
  const line = ['--import', 'tsx', 'collector/cli.ts', 'fit', path, ...options];
  return new Promise((resolve) => {
    execFile(process.execPath, line, { cwd: root }, (error, out, err) =>
      resolve({ code: error === null ? 0 : Number(error.code), out, err }),
    );
  });
};

/** The same in this process: a second start of the command line tells nothing more. */
async function fitHere(
  table: string,
  ...options: string[]
): Promise<{ code: number; out: string; err: string }> {
  const path = join(folder, 'rates.csv');
  writeFileSync(path, table);
  const lines: string[] = [];
  const log = vi.spyOn(console, 'log').mockImplementation((line) => void lines.push(`${line}\n`));
  try {
    const { values, positionals } = parseArgs({
      args: [path, ...options],
      options: fitCommand.options,
      allowPositionals: true,
    });
    const code = await fitCommand.run(values as Parameters<typeof fitCommand.run>[0], positionals);
    return { code, out: lines.join(''), err: '' };
  } catch (thrown) {
    return { code: 1, out: lines.join(''), err: messageOf(thrown) };
  } finally {
    log.mockRestore();
  }
}

const eryngii = 'temperature,rate\n15,0.90\n20,2.84\n25,3.35\n30,2.39\n';

describe('shelfwarden fit', () => {
  it('prints the fits, a plot and an entry; --plot draws them into a file', async () => {
    const plot = join(folder, 'fit.svg');
    const { code, out } = await runFit(
      eryngii,
      '--species',
      'king-trumpet',
      '--strain',
      'kt-28',
      '--plot',
      plot,
    );
    expect(code).toBe(0);
    // Soylu, Boztok & Esiyok 2016, Acta Hort. 1123:207-214.
    expect(out).toContain('tMinC 13.02 °C, tOptC 24.24 °C, tMaxC 34.93 °C, rateAtOptimum 3.37');
    expect(out).toContain('nothing tells its errors');
    expect(out).toContain('response: { form: cardinal, tMinC: 13.02, tOptC: 24.24, tMaxC: 34.93 }');
    expect(readFileSync(plot, 'utf8')).toMatch(/^<svg .*<\/svg>\s*$/s);
  }, 60_000);

  it('--json holds everything; a table that cannot be fitted ends with 1 and words', async () => {
    const good = await fitHere(eryngii, '--json', '--form', 'briere1');
    expect(JSON.parse(good.out)).toMatchObject({
      best: { form: 'briere1' },
      fits: [{ form: 'briere1', fit: { points: 4, degreesOfFreedom: 1 } }],
    });
    const bad = await fitHere('temperature,rate\n10,1\n14,fast\n');
    expect(bad).toMatchObject({
      code: 1,
      out: '',
      err: 'rates.csv:3: rate "fast"; wanted a number of 0 or more',
    });
    const few = await fitHere('temperature,rate\n10,1\n14,2\n');
    expect(few.code).toBe(1);
    expect(few.out).toContain('needs rates at 4 or more different temperatures; found 2');
    const odd = await fitHere(eryngii, '--form', 'spline');
    expect(odd.err).toContain('--form is spline; it must be one of cardinal, beta');
  });
});
