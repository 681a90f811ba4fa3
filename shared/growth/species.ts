import type { Species } from '../farm/schema.ts';

const published = 'published';
const practice = 'common practice, no source';

/** Numbers of a row in the order of the table's head; what has no entry in `support` is assumed. */
type Row = readonly [
  id: string,
  name: string,
  latin: string,
  tMinC: number,
  tOptC: number,
  tMaxC: number,
  rateMmPerDay: number,
  lagDays: number,
  warmLimitC: number,
  heatLimitC: number,
  useWithinDays: number,
];

const soylu = `${published}: Soylu, Boztok & Esiyok 2016, Acta Hort. 1123:207-214 (28 strains on agar; their mean fits 13.0, 24.2 and 34.9 degC, 3.4 mm/d)`;
const zervakis = `${published}: Zervakis et al. 2001, Folia Microbiol. 46:231-234`;
const pinning = practice;

const table: readonly [Row, Record<string, string>][] = [
  [
    ['oyster', 'Oyster', 'Pleurotus ostreatus', 5, 27, 36, 5, 1.5, 30, 36, 14],
    {
      tOptC: `${zervakis} (30 on agar); Hu et al. 2023, Horticulturae 9:95 (22 in bags)`,
      useWithinDays: practice,
      pinsOnGrain: pinning,
    },
  ],
  [
    ['lung-oyster', 'Lung oyster', 'Pleurotus pulmonarius', 7, 29, 38, 5, 1.5, 32, 38, 14],
    { tOptC: zervakis, useWithinDays: practice },
  ],
  [
    ['king-trumpet', 'King trumpet', 'Pleurotus eryngii', 11, 24.6, 34.2, 3.4, 3, 29, 34, 21],
    { tMinC: soylu, tOptC: soylu, tMaxC: soylu, rateMmPerDay: soylu },
  ],
  [
    ['pink-oyster', 'Pink oyster', 'Pleurotus djamor', 11, 27, 38, 4.1, 1, 32, 38, 14],
    { useWithinDays: practice },
  ],
  [['elm-oyster', 'Elm oyster', 'Hypsizygus ulmarius', 5, 25, 33, 4, 2, 28, 33, 18], {}],
  [
    ['reishi', 'Reishi', 'Ganoderma lucidum', 12, 28, 38, 5, 2, 33, 38, 14],
    {
      tOptC: `${published}: Rawat 2018, IJCMAS 7:472-479 (25-35)`,
      useWithinDays: practice,
      pinsOnGrain: pinning,
    },
  ],
  [
    ['lions-mane', "Lion's mane", 'Hericium erinaceus', 4, 25.5, 35, 2.5, 4, 28, 33, 21],
    {
      tOptC: `${published}: Grigansky et al. 1999, Int. J. Med. Mushr. 1:81-87 (26; none at 3 and 37)`,
      pinsOnGrain: pinning,
    },
  ],
  [
    ['shiitake', 'Shiitake', 'Lentinula edodes', 5, 24.5, 34, 3, 3, 28, 33, 30],
    {
      tOptC: `${zervakis} (20 or 30 by strain)`,
      tMaxC: `${published}: Yan et al. 2000, Acta Edulis Fungi 7(4) (0 of 28 strains grow at 35)`,
      pinsOnGrain: pinning,
    },
  ],
  [['maitake', 'Maitake', 'Grifola frondosa', 5, 24, 32, 2, 5, 27, 31, 40], { pinsOnGrain: pinning }],
  [['cordyceps', 'Cordyceps', 'Cordyceps militaris', 5, 21.5, 29, 2.5, 3, 24, 28, 21], {}],
];

const fruitsOnGrain = new Set(['oyster', 'reishi', 'lions-mane']);
const coldLimitsC: Record<string, number> = { 'pink-oyster': 10 };

/**
 * Species that every farm starts with. Cardinal temperatures and limits in °C at the core, rates in mm/d on
 * grain at the optimum, spans in days at the optimum. Strains of one species differ by a factor of two: the
 * numbers are where learning starts from.
 */
export const builtInSpecies: readonly Species[] = table.map(([row, support]) => {
  const [id, name, latin, tMinC, tOptC, tMaxC, rateMmPerDay, lagDays, warmLimitC, heatLimitC, useWithinDays] =
    row;
  const coldLimitC = coldLimitsC[id];
  return {
    id,
    name,
    latin,
    tMinC,
    tOptC,
    tMaxC,
    rateMmPerDay,
    lagDays,
    warmLimitC,
    heatLimitC,
    ...(coldLimitC === undefined ? {} : { coldLimitC }),
    pinsOnGrain: fruitsOnGrain.has(id),
    useWithinDays,
    support,
  };
});
