import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { stringify } from 'yaml';
import { loadFarmFile } from '../../collector/farm/load.ts';
import { editLimits, type LimitEdit } from '../../collector/farm/write-back.ts';
import { oyster } from '../unit/collector/farm/oyster.ts';

vi.setConfig({ testTimeout: 60_000 });
const seed = 20260213;
const small = readFileSync(new URL('../fixtures/farms/small.yaml', import.meta.url), 'utf8');
const sound = loadFarmFile(small, 'farm.yaml', [oyster]);
if (!sound.ok) throw new Error('the fixture must be sound');

/** One farm in the forms that people and programs write. */
const forms = {
  'by hand': small,
  'with carriage returns': small.replaceAll('\n', '\r\n'),
  'without a last line break': small.trimEnd(),
  'by a program': stringify(sound.farm.file),
  'as JSON': JSON.stringify(sound.farm.file, null, 2),
};

const optional = <T>(value: fc.Arbitrary<T>) => fc.option(value, { nil: null });
const tenths = (low: number, high: number) =>
  fc.integer({ min: low * 10, max: high * 10 }).map((n) => n / 10);
const clock = fc
  .integer({ min: 0, max: 47 })
  .map((n) => `${String(n >> 1).padStart(2, '0')}:${n % 2 ? 30 : '00'}`);
const weekday = fc.constantFrom(...(['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const));
const span = fc
  .record(
    {
      days: fc.uniqueArray(weekday, { minLength: 1 }),
      from: clock,
      to: clock,
      high: tenths(23, 40),
      low: tenths(1, 22),
    },
    { requiredKeys: ['from', 'to', 'high'], noNullPrototype: true },
  )
  .filter(({ from, to }) => from !== to);
const spans = fc.array(span, { minLength: 1, maxLength: 2 });
const edits: fc.Arbitrary<LimitEdit> = fc.record({
  at: fc.constantFrom('warm-room', 'cool-room', 'A1', 'A2', 'B1'),
  quantity: fc.constantFrom('temperature', 'humidity'),
  set: fc.record(
    {
      low: optional(tenths(1, 22)),
      high: optional(tenths(23, 40)),
      deadband: optional(tenths(1, 2)),
      latching: optional(fc.boolean()),
      during: optional(spans),
      reAlarmMin: optional(fc.oneof(fc.constant(false as const), fc.integer({ min: 1, max: 600 }))),
      advice: optional(fc.string({ unit: 'grapheme', maxLength: 40 })),
    },
    { requiredKeys: [] },
  ),
});

const bandOf = (text: string, { at, quantity }: LimitEdit) => {
  const load = loadFarmFile(text, 'farm.yaml', [oyster]);
  if (!load.ok) throw new Error(JSON.stringify(load.problems));
  const place = load.farm.rooms.get(at) ?? load.farm.shelves.get(at);
  return (place?.limits[quantity] ?? {}) as Record<string, unknown>;
};

describe.each(Object.entries(forms))('limits written back into a file %s', (_, text) => {
  it('hold what was set, keep all comments outside them, and can be set again without a change', () => {
    fc.assert(
      fc.property(fc.array(edits, { minLength: 1, maxLength: 3 }), (several) => {
        let now = text;
        for (const edit of several) {
          const result = editLimits(now, 'farm.yaml', edit, [oyster]);
          if (!result.ok) {
            // The only way to be refused here: a deadband against what stands in the file.
            expect(result.problems.every(({ wanted }) => /narrower|below/.test(wanted))).toBe(true);
            continue;
          }
          now = result.text;
          const band = bandOf(now, edit);
          for (const [key, value] of Object.entries(edit.set)) expect(band[key]).toEqual(value ?? undefined);
          const again = editLimits(now, 'farm.yaml', edit, [oyster]);
          expect(again.ok && again.text).toBe(now);
        }
        for (const comment of text.match(/# .*/g) ?? []) expect(now).toContain(comment.trimEnd());
      }),
      { seed, numRuns: 12 },
    );
  });
});
