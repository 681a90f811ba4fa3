import { expect, test } from 'vitest';
import { species as speciesSchema } from '../../../shared/farm/schema.ts';
import { builtInSpecies } from '../../../shared/growth/species.ts';
import { assumedOf, speciesFact, speciesFacts } from '../../../shared/growth/species-facts.ts';

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

test('every number has a support, with a source unless it is assumed', () => {
  for (const one of builtInSpecies) {
    const facts = speciesFacts(one);
    for (const fact of facts) {
      expect(() => speciesFact.parse(fact)).not.toThrow();
      expect(fact.source === null).toBe(fact.support === 'assumed');
    }
    const said = facts.map(({ key }) => key);
    // All that is a number or a yes or no, and nothing else.
    const held = Object.entries(one).filter(([, value]) => ['number', 'boolean'].includes(typeof value));
    expect([...said].sort()).toEqual(held.map(([key]) => key).sort());
  }
});

test('kinds of support: a paper, the trade, the farm itself, nobody', () => {
  const eryngii = builtInSpecies.find((one) => one.id === 'king-trumpet')!;
  const own = {
    ...eryngii,
    support: {
      ...eryngii.support,
      lagDays: 'own trial: plates.csv',
      pinsOnGrain: 'common practice, no source',
    },
  };
  const of = (key: string) => speciesFacts(own).find((fact) => fact.key === key)!;
  expect(of('tOptC')).toMatchObject({
    support: 'published',
    source: expect.stringContaining('Acta Hort. 1123'),
  });
  expect(of('pinsOnGrain').support).toBe('practice');
  expect(of('lagDays')).toMatchObject({ support: 'site', source: 'own trial: plates.csv' });
  expect(of('heatLimitC')).toMatchObject({ support: 'assumed', source: null, unit: 'degC', value: 34 });
});
