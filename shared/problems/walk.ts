import { z } from 'zod';
import { bare, keysOf } from './describe.ts';
import { nearest } from './nearest.ts';

export type Path = readonly (string | number)[];

/** What is at a path, or undefined. */
export function valueAt(raw: unknown, path: Path): unknown {
  let here = raw;
  for (const step of path) {
    if (typeof here !== 'object' || here === null || !Object.hasOwn(here, step)) return undefined;
    here = (here as Record<string | number, unknown>)[step];
  }
  return here;
}

/** How well a group's keys fit one form of a choice: exact keys count more than near misses. */
function likeness(option: z.ZodType, value: unknown): number {
  if (typeof value !== 'object' || value === null) return 0;
  const known = keysOf(option);
  let score = 0;
  for (const key of Object.keys(value))
    score += known.includes(key) ? 2 : nearest(key, known) === undefined ? -1 : 1;
  return score;
}

/** Index of the form of a choice that was most likely meant. */
export function likelyOption(union: z.ZodUnion, value: unknown): number {
  const scores = (union.options as z.ZodType[]).map((option) => {
    const tag = union instanceof z.ZodDiscriminatedUnion ? union._zod.def.discriminator : undefined;
    const tagged = tag === undefined ? undefined : (bare(option) as z.ZodObject).shape[tag];
    const matches = tagged?.safeParse(valueAt(value, [tag!])).success;
    return likeness(option, value) + (matches ? 1000 : 0);
  });
  return scores.indexOf(Math.max(...scores));
}

/** Keys that the group at hand may have; in a choice of groups, those of the form most likely meant. */
export function keysFor(schema: z.ZodType, value: unknown): string[] {
  const inner = bare(schema);
  if (!(inner instanceof z.ZodUnion)) return keysOf(inner);
  return keysOf((inner.options as z.ZodType[])[likelyOption(inner, value)]!);
}

/** The schema that rules the value at a path, or undefined where the schema knows no such place. */
export function schemaAt(root: z.ZodType, raw: unknown, path: Path): z.ZodType | undefined {
  let schema: z.ZodType | undefined = root;
  for (const [depth, step] of path.entries()) {
    let inner: z.ZodType = bare(schema);
    if (inner instanceof z.ZodUnion) {
      const options = inner.options as z.ZodType[];
      inner = bare(options[likelyOption(inner, valueAt(raw, path.slice(0, depth)))]!);
    }
    if (inner instanceof z.ZodObject) schema = inner.shape[step];
    else if (inner instanceof z.ZodTuple)
      schema = inner._zod.def.items[Number(step)] as z.ZodType | undefined;
    else if (inner instanceof z.ZodArray) schema = inner.element as z.ZodType;
    else if (inner instanceof z.ZodRecord) schema = inner.valueType as z.ZodType;
    else schema = undefined;
    if (schema === undefined) return undefined;
  }
  return schema;
}
