import { buildFarm } from '../../shared/farm/farm.ts';
import { farmFile } from '../../shared/farm/schema.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';

/** Three strains of two species, and the containers that they are in. */
export const strainFarm = buildFarm(
  farmFile.parse({
    site: { id: 'fernhollow', name: 'Fernhollow', timeZone: 'UTC' },
    rooms: [{ id: 'warm', name: 'Warm room', racks: [{ id: 'A', shelves: [{ id: 'A1' }] }] }],
    containers: [
      {
        id: 'bag',
        name: '3.5 L bag',
        kind: 'bag',
        shape: { form: 'brick', widthM: 0.2, depthM: 0.13, heightM: 0.2 },
        massKg: 2.6,
        volumeL: 3.5,
      },
    ],
    strains: [
      { id: 'larch-2', name: 'Larch 2', species: 'oyster' },
      { id: 'larch-9', name: 'Larch 9', species: 'oyster' },
      { id: 'fen-3', name: 'Fen 3', species: 'reishi' },
    ],
  }),
  builtInSpecies,
);
