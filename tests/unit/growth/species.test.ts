import { expect, test } from 'vitest';
import { species as speciesSchema } from '../../../shared/farm/schema.ts';
import { assumedOf, builtInSpecies } from '../../../shared/growth/species.ts';

test('ten species, each valid, with ids of their own', () => {
  expect(new Set(builtInSpecies.map((one) => one.id)).size).toBe(10);
  for (const one of builtInSpecies) expect(speciesSchema.safeParse(one).success).toBe(true);
});

test('cardinal temperatures and limits are in order', () => {
  for (const one of builtInSpecies) {
    expect(one.tOptC).toBeGreaterThan((one.tMinC + one.tMaxC) / 2);
    expect(one.tOptC).toBeLessThan(one.tMaxC);
    expect(one.warmLimitC).toBeLessThan(one.heatLimitC);
    expect(one.warmLimitC).toBeGreaterThan(one.tOptC);
  }
});

test('every support mark names a number of the table, and what has none is called assumed', () => {
  for (const one of builtInSpecies)
    for (const key of Object.keys(one.support)) expect(Object.keys(one)).toContain(key);
  const eryngii = builtInSpecies.find((one) => one.id === 'king-trumpet')!;
  expect(assumedOf(eryngii)).toEqual(['lag', 'warm limit', 'heat limit', 'use-by span']);
});
