import { z } from 'zod';
import type { Species } from '../farm/schema.ts';

/** What a number rests on. `site`: this farm's own trial or its own word. */
const supportKind = z.enum(['published', 'practice', 'site', 'assumed']);
type SupportKind = z.infer<typeof supportKind>;

/** One number of a species and what it rests on, for screens. */
export const speciesFact = z.object({
  key: z.string(),
  /** In words: `best growth temperature`. */
  name: z.string(),
  value: z.union([z.number(), z.boolean()]),
  unit: z.string(),
  support: supportKind,
  /** Where it is from, with what the source says; null for an assumption. */
  source: z.string().nullable(),
});
export type SpeciesFact = z.infer<typeof speciesFact>;

/** Numbers in the order of a screen. `forecast` marks those that dates rest on. */
const numbers = [
  { key: 'tMinC', name: 'lowest growth temperature', unit: 'degC', forecast: true },
  { key: 'tOptC', name: 'best growth temperature', unit: 'degC', forecast: true },
  { key: 'tMaxC', name: 'highest growth temperature', unit: 'degC', forecast: true },
  { key: 'rateMmPerDay', name: 'growth rate', unit: 'mm/d', forecast: true },
  { key: 'lagDays', name: 'lag', unit: 'd', forecast: true },
  { key: 'warmLimitC', name: 'warm limit', unit: 'degC', forecast: true },
  { key: 'heatLimitC', name: 'heat limit', unit: 'degC', forecast: true },
  { key: 'coldLimitC', name: 'cold limit', unit: 'degC', forecast: false },
  { key: 'useWithinDays', name: 'use-by span', unit: 'd', forecast: true },
  { key: 'pinsOnGrain', name: 'fruits on grain if left', unit: '', forecast: false },
] as const;

const prefixes: readonly [string, SupportKind][] = [
  ['published', 'published'],
  ['common practice', 'practice'],
];

/** Every number of a species with its support. What has no entry in `support` is assumed. */
export function speciesFacts(species: Species): SpeciesFact[] {
  return numbers.flatMap(({ key, name, unit }): SpeciesFact[] => {
    const value = species[key];
    if (value === undefined) return [];
    const text = species.support[key];
    if (text === undefined) return [{ key, name, value, unit, support: 'assumed', source: null }];
    const [prefix, support] = prefixes.find(([start]) => text.startsWith(start)) ?? ['', 'site' as const];
    const source = prefix === 'published' ? text.slice(prefix.length).replace(/^:\s*/, '') : text;
    return [{ key, name, value, unit, support, source }];
  });
}

/** Names of the numbers behind forecasts that neither a publication, practice nor this farm supports. */
export const assumedOf = (species: Species): string[] =>
  numbers
    .filter(({ key, forecast }) => forecast && species.support[key] === undefined)
    .map(({ name }) => name);
