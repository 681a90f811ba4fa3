import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { loadFarmFile } from '../../collector/farm/load.ts';
import { problemsText } from '../../collector/farm/problems.ts';

const small = readFileSync(new URL('../fixtures/farms/small.yaml', import.meta.url), 'utf8');
const lines = small.split('\n');
const seed = 20260212;
vi.setConfig({ testTimeout: 60_000 });

/** Whatever the text: a farm or a list of problems, each at a place that the text has. */
function holds(text: string): void {
  const load = loadFarmFile(text, 'farm.yaml', []);
  if (load.ok) return;
  expect(load.problems.length).toBeGreaterThan(0);
  const count = text.split('\n').length;
  for (const { line, column, found, wanted, mend } of load.problems) {
    expect(line).toBeGreaterThanOrEqual(1);
    expect(line).toBeLessThanOrEqual(count + 1);
    expect(column).toBeGreaterThanOrEqual(1);
    for (const words of [found, wanted, mend]) expect(words).not.toBe('');
  }
  expect(problemsText(load.problems)).not.toMatch(/undefined|\[object/);
}

describe('a farm file of any text', () => {
  it('never throws', () => {
    fc.assert(fc.property(fc.string({ unit: 'binary', maxLength: 300 }), holds), { seed, numRuns: 500 });
  });

  it('never throws on YAML-like text', () => {
    const piece = fc.constantFrom(
      'a',
      'rooms',
      'id',
      ': ',
      ':\n  ',
      '- ',
      '\n',
      '\n  ',
      '{',
      '}',
      '[',
      ']',
      ', ',
      '&a ',
      '*a',
      '!t ',
      '|',
      '"',
      "'",
      '#',
      '---',
      '? ',
      '%',
      '<<',
      '__proto__',
      '1',
      'null',
      '~',
    );
    const text = fc.array(piece, { maxLength: 60 }).map((pieces) => pieces.join(''));
    fc.assert(fc.property(text, holds), { seed, numRuns: 2_000 });
  });

  it('never throws on any JSON value, which is YAML too', () => {
    fc.assert(fc.property(fc.json(), holds), { seed, numRuns: 500 });
  });

  it('never throws on a sound file with a line lost, doubled, cut or changed', () => {
    const change = fc.record({
      index: fc.nat(lines.length - 1),
      how: fc.constantFrom('lose', 'double', 'cut', 'indent', 'value'),
      value: fc.oneof(fc.string({ maxLength: 20 }), fc.double().map(String), fc.constant('')),
      cut: fc.double({ min: 0, max: 1, noNaN: true }),
    });
    const text = fc.array(change, { minLength: 1, maxLength: 4 }).map((changes) => {
      const copy = [...lines];
      for (const { index, how, value, cut } of changes) {
        const line = copy[index] ?? '';
        if (how === 'lose') copy[index] = '';
        if (how === 'double') copy[index] = `${line}\n${line}`;
        if (how === 'cut') copy[index] = line.slice(0, Math.round(line.length * cut));
        if (how === 'indent') copy[index] = `  ${line}`;
        if (how === 'value') copy[index] = line.replace(/:.*/, `: ${value}`);
      }
      return copy.join('\n');
    });
    fc.assert(fc.property(text, holds), { seed, numRuns: 500 });
  });

  it('names the key that was misspelt, wherever it stands', () => {
    const keys = [...small.matchAll(/[\s{]([A-Za-z0-9]{4,}):\s/g)].map((match) => match.index + 1);
    const misspelling = fc.record({ at: fc.constantFrom(...keys), drop: fc.nat(2) });
    fc.assert(
      fc.property(misspelling, ({ at, drop }) => {
        const text = small.slice(0, at + drop) + small.slice(at + drop + 1);
        const load = loadFarmFile(text, 'farm.yaml', []);
        if (load.ok) throw new Error(`accepted ${text.slice(at, at + 20)}`);
        const before = small.slice(0, at);
        const line = before.split('\n').length;
        expect(load.problems.map((problem) => problem.line)).toContain(line);
      }),
      { seed, numRuns: 200 },
    );
  });
});
