import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { describeSchema } from '../../../../shared/problems/describe.ts';
import { explainIssues } from '../../../../shared/problems/explain.ts';
import { schemaAt } from '../../../../shared/problems/walk.ts';

describe('what a schema asks for', () => {
  it.each([
    [z.string(), 'text'],
    [z.string().min(1).max(60), 'text of 1 to 60 characters'],
    [z.string().max(9), 'text of at most 9 characters'],
    [z.number(), 'a number'],
    [z.number().min(1).max(9), 'a number from 1 to 9'],
    [z.number().positive(), 'a number above 0'],
    [z.number().positive().max(2), 'a number above 0, at most 2'],
    [z.number().int().min(1), 'a whole number, at least 1'],
    [z.number().max(5).optional(), 'a number, at most 5'],
    [z.boolean().default(true), 'true or false'],
    [z.enum(['a', 'b']), 'one of a, b'],
    [z.union([z.literal(1), z.literal(2)]), '1 or 2'],
    [z.iso.date(), 'a date as YYYY-MM-DD'],
    [z.email(), 'an email address as name@example.org'],
    [z.array(z.string()), 'a list'],
    [z.array(z.string()).min(2), 'a list of at least 2'],
    [z.tuple([z.number(), z.number()]), 'a list of 2'],
    [z.strictObject({ a: z.string(), b: z.string() }), 'a group of keys (a, b)'],
  ])('%#: %s', (schema, words) => expect(describeSchema(schema as z.ZodType)).toBe(words));
});

const form = z.discriminatedUnion('form', [
  z.strictObject({ form: z.literal('round'), diameter: z.number() }),
  z.strictObject({ form: z.literal('square'), width: z.number(), depth: z.number() }),
]);
const schema = z.strictObject({
  name: z.string().min(1),
  size: z.number().positive().default(1),
  forms: z.array(form).default([]),
  via: z
    .union([z.strictObject({ inside: z.number() }), z.strictObject({ url: z.string(), user: z.string() })])
    .optional(),
});

function findingsOf(raw: unknown): string[] {
  const parsed = schema.safeParse(raw);
  if (parsed.success) return [];
  return explainIssues(schema, raw, parsed.error.issues).map(
    ({ path, found, wanted, mend }) => `${path.join('.')}: ${found} | ${wanted} | ${mend}`,
  );
}

describe('an issue in words', () => {
  it('is mended in the form that the value is written in', () => {
    const inJson = (raw: unknown) =>
      explainIssues(schema, raw, schema.safeParse(raw).error!.issues, undefined, 'json').map(
        ({ found, mend }) => `${found} | ${mend}`,
      );
    expect(inJson({ name: 7 })).toEqual(['name 7 | put it in quotes, "7"']);
    expect(inJson({})).toEqual(['no name | add name with text, not empty']);
    expect(inJson([])).toEqual(['a list of 0 | send an object with these keys']);
    expect(inJson({ name: 'x', forms: 3 })).toEqual(['forms 3 | make it a list within [ ]']);
  });
  it('is told once, however many rules it breaks in the same words', () => {
    const whole = z.strictObject({ at: z.number().int().max(9) });
    const { issues } = whole.safeParse({ at: 1e300 }).error!;
    expect(issues.length).toBeGreaterThan(1);
    expect(explainIssues(whole, { at: 1e300 }, issues)).toHaveLength(1);
  });

  it.each<[unknown, string[]]>([
    [{}, ['name: no name | text, not empty | add name: with text, not empty']],
    [{ nam: 'x' }, ['nam: the unknown key "nam" | one of name, size, forms, via | rename it to name']],
    [
      { name: 'x', size: '2,5 m' },
      ['size: size "2,5 m" | a number above 0 | write 2.5 alone, without quotes or unit'],
    ],
    [{ name: 7 }, ["name: name 7 | text, not empty | put it in quotes, '7'"]],
    [
      { name: 'x', size: null },
      ['size: size nothing | a number above 0 | give it a value, or remove the key'],
    ],
    [
      { name: 'x', forms: [{ form: 'rond' }] },
      ['forms.0.form: form "rond" | one of round, square | write round'],
    ],
    [
      { name: 'x', forms: [{ form: 'square', width: 1, deph: 2 }] },
      ['forms.0.deph: the unknown key "deph" | one of form, width, depth | rename it to depth'],
    ],
    [
      { name: 'x', via: { insid: 3 } },
      ['via.insid: the unknown key "insid" | one of inside | rename it to inside'],
    ],
    [{ name: 'x', via: { url: 'a', user: 3 } }, ["via.user: user 3 | text | put it in quotes, '3'"]],
    [[], ['?']],
  ])('%j', (raw, expected) => {
    const findings = findingsOf(raw);
    if (expected[0] === '?') expect(findings).toHaveLength(1);
    else expect(findings).toEqual(expected);
  });

  it('finds the schema of a place through lists, defaults and choices', () => {
    const raw = { forms: [{ form: 'square' }] };
    expect(describeSchema(schemaAt(schema, raw, ['forms', 0, 'width'])!)).toBe('a number');
    expect(schemaAt(schema, raw, ['forms', 0, 'diameter'])).toBeUndefined();
    expect(schemaAt(schema, raw, ['name', 'x'])).toBeUndefined();
  });
});
