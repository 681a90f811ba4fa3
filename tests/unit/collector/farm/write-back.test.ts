import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { editLimits, type LimitEdit } from '../../../../collector/farm/write-back.ts';
import { oyster } from './oyster.ts';

const small = readFileSync(new URL('../../../fixtures/farms/small.yaml', import.meta.url), 'utf8');
const edit = (text: string, limitEdit: LimitEdit) => editLimits(text, 'farm.yaml', limitEdit, [oyster]);

/** Lines of the new text that differ, as `-old` and `+new`. */
function changed(before: string, after: string): string[] {
  const [old, now] = [before.split('\n'), after.split('\n')];
  return [
    ...old.filter((line) => !now.includes(line)).map((l) => `-${l}`),
    ...now.filter((line) => !old.includes(line)).map((l) => `+${l}`),
  ];
}

describe('limits written back', () => {
  it.each<[string, LimitEdit, string[]]>([
    [
      'of a room, in one line',
      { at: 'warm-room', quantity: 'temperature', set: { high: 29, deadband: 0.8 } },
      [
        '-      temperature: { low: 21, high: 28, deadband: 0.5, onDelayS: 60 }',
        '+      temperature: { low: 21, high: 29, deadband: 0.8, onDelayS: 60 }',
      ],
    ],
    [
      'of a room, in a group',
      { at: 'warm-room', quantity: 'humidity', set: { high: 80 } },
      ['-        high: 75', '+        high: 80'],
    ],
    [
      'of a shelf, with a value taken out',
      { at: 'A2', quantity: 'temperature', set: { high: null, low: 18 } },
      ['-              temperature: { high: 27 }', '+              temperature: { low: 18 }'],
    ],
    [
      'of a shelf that had none',
      { at: 'B1', quantity: 'humidity', set: { high: 90 } },
      [
        '-      - { id: B, shelves: [{ id: B1 }] }',
        '+      - { id: B, shelves: [{ id: B1, limits: { humidity: { high: 90 } } }] }',
      ],
    ],
    [
      'of a room that had none',
      { at: 'cool-room', quantity: 'temperature', set: { high: 18 } },
      ['+    limits: { temperature: { high: 18 } }'],
    ],
  ])('%s change nothing else', (_, limitEdit, lines) => {
    const result = edit(small, limitEdit);
    if (!result.ok) throw new Error(JSON.stringify(result.problems));
    expect(changed(small, result.text)).toEqual(lines);
    expect(result.text).toContain('# Oyster likes it warm; 28 is where the core comes near 30.');
  });

  it('come with the farm that they make', () => {
    const result = edit(small, { at: 'A2', quantity: 'temperature', set: { high: 26.5 } });
    expect(result.ok && result.farm.shelves.get('A2')?.limits.temperature?.high).toBe(26.5);
  });

  it('that would make the file unsound are refused with their place, as a hand edit is', () => {
    const result = edit(small, { at: 'warm-room', quantity: 'temperature', set: { high: 20 } });
    expect(result).toMatchObject({ ok: false, problems: [{ line: 10, found: 'high 20 with low 21' }] });
  });

  it('of an unknown place are refused', () => {
    expect(() => edit(small, { at: 'Z9', quantity: 'temperature', set: {} })).toThrow(/no room or shelf Z9/);
  });

  it('that other places share through an anchor are refused', () => {
    const shared = small
      .replace('temperature: { high: 27 }', 'temperature: &warm { high: 27 }')
      .replace('name: Cool room', 'name: Cool room\n    limits: { temperature: *warm }');
    expect(() => edit(shared, { at: 'A2', quantity: 'temperature', set: { high: 26 } })).toThrow(
      /shares its limits/,
    );
    expect(() => edit(shared, { at: 'cool-room', quantity: 'temperature', set: { high: 26 } })).toThrow(
      /by hand/,
    );
  });
});
