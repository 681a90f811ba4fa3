import type { Species } from '../../../../shared/farm/schema.ts';

/** One built-in species for tests of the farm file. */
export const oyster: Species = {
  id: 'oyster',
  name: 'Oyster',
  latin: 'Pleurotus ostreatus',
  tMinC: 5,
  tOptC: 27,
  tMaxC: 36,
  rateMmPerDay: 5,
  lagDays: 1.5,
  warmLimitC: 30,
  heatLimitC: 36,
  pinsOnGrain: true,
  useWithinDays: 14,
  support: {},
};
