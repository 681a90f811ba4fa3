import type { z } from 'zod';
import type { Path } from '../../../shared/problems/walk.ts';

export interface Found<T> {
  path: Path;
  value: T;
}

/**
 * Every value at a path of keys joined by slashes; a star stands for each item of a list, as in
 * `sensors / * / topic` without the spaces.
 * Works on unchecked values, so that what is sound in a faulty file is still checked.
 */
export function each(raw: unknown, pattern: string): Found<unknown>[] {
  let found: Found<unknown>[] = [{ path: [], value: raw }];
  for (const step of pattern.split('/'))
    found = found.flatMap(({ path, value }): Found<unknown>[] => {
      if (step === '*')
        return Array.isArray(value)
          ? value.map((item, index) => ({ path: [...path, index], value: item }))
          : [];
      if (typeof value !== 'object' || value === null || !Object.hasOwn(value, step)) return [];
      return [{ path: [...path, step], value: (value as Record<string, unknown>)[step] }];
    });
  return found;
}

/** As `each`, but only the values that are sound by themselves. */
export function eachValid<S extends z.ZodType>(
  raw: unknown,
  pattern: string,
  schema: S,
): Found<z.output<S>>[] {
  return each(raw, pattern).flatMap(({ path, value }) => {
    const parsed = schema.safeParse(value);
    return parsed.success ? [{ path, value: parsed.data }] : [];
  });
}

/** As `each`, but only text. */
export function eachText(raw: unknown, pattern: string): Found<string>[] {
  return each(raw, pattern).filter((item): item is Found<string> => typeof item.value === 'string');
}
