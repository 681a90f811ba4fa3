import { expect, test } from 'vitest';
import { speciesViews } from '../../../../collector/farm/species-view.ts';
import { speciesList } from '../../../../shared/api/species.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { farmFile } from '../../../../shared/farm/schema.ts';
import { builtInSpecies } from '../../../../shared/growth/species.ts';

const beta = { form: 'beta', tMinC: 4, tOptC: 24, tMaxC: 33 } as const;
const farm = buildFarm(
  farmFile.parse({
    site: { id: 'fernhollow', name: 'Fernhollow', timeZone: 'UTC' },
    rooms: [{ id: 'warm', name: 'Warm room' }],
    strains: [
      { id: 'quick', name: 'Quick', species: 'reishi', rateFactor: 1.5 },
      { id: 'cool', name: 'Cool', species: 'reishi', response: beta },
    ],
  }),
  builtInSpecies,
);

test('all species with their numbers, those that the farm grows first, as the API describes them', () => {
  const views = speciesViews(farm);
  expect(() => speciesList.parse(views)).not.toThrow();
  expect(views).toHaveLength(builtInSpecies.length);
  expect(views[0]!.id).toBe('reishi');
  expect(views[0]!.facts.find(({ key }) => key === 'lagDays')).toMatchObject({
    value: 2,
    support: 'assumed',
  });
});

test('a strain shows the response that its forecasts use, and whether it is its own', () => {
  const [quick, cool] = speciesViews(farm)[0]!.strains;
  expect(quick).toMatchObject({
    rateFactor: 1.5,
    ownResponse: false,
    response: { form: 'cardinal', tMinC: 12, tOptC: 28, tMaxC: 38 },
  });
  expect(cool).toMatchObject({ ownResponse: true, response: beta });
});
