import type { ResponseShape } from './response.ts';

/** What a species is like in the simulated world, before strain and bag scatter. */
export interface SpeciesTruth {
  response: ResponseShape;
  /** Speed of a front through hydrated grain at the optimum [mm/d]. */
  speedMmPerDay: number;
  lagDays: number;
  pinsOnGrain: boolean;
}

const truth = (
  minC: number,
  maxC: number,
  fallPerK: number,
  speedMmPerDay: number,
  lagDays: number,
  pinsOnGrain = false,
): SpeciesTruth => ({ response: { minC, maxC, fallPerK }, speedMmPerDay, lagDays, pinsOnGrain });

/**
 * The simulated world's own numbers, near what is published for each species (optima: Zervakis et al.
 * 2001; Soylu et al. 2016; Grigansky et al. 1999; Rawat 2018) and on purpose not the forecaster's.
 */
const table: Record<string, SpeciesTruth> = {
  oyster: truth(3, 36.5, 0.25, 6.2, 1.6, true),
  'lung-oyster': truth(5, 38, 0.3, 5.2, 1.5, true),
  'king-trumpet': truth(8, 34, 0.22, 3.9, 2.8),
  'pink-oyster': truth(10, 38.5, 0.25, 4.8, 1.1, true),
  'elm-oyster': truth(4, 34, 0.22, 4, 2),
  reishi: truth(9, 39, 0.22, 7, 1.6),
  'lions-mane': truth(4, 35, 0.2, 3.2, 3.4, true),
  shiitake: truth(4, 34.5, 0.18, 3.4, 3),
  maitake: truth(4, 33, 0.2, 2.2, 4.5),
  cordyceps: truth(4, 30, 0.2, 2.6, 3),
};

const unknownSpecies = truth(5, 35.5, 0.22, 3.8, 2.4);

/** By the species' id in the farm file; one that the world does not know grows middling. */
export const speciesTruth = (id: string): SpeciesTruth => table[id] ?? unknownSpecies;
