import { z } from 'zod';
import { responseSpec } from '../growth/response-spec.ts';
import { speciesFact } from '../growth/species-facts.ts';

const strainView = z.object({
  id: z.string(),
  name: z.string(),
  /** Rate relative to the species'. */
  rateFactor: z.number(),
  /** Response that its forecasts use. */
  response: responseSpec,
  /** The response is its own, not its species'. */
  ownResponse: z.boolean(),
});

/** A species with what every number rests on, and the farm's strains of it. */
export const speciesView = z.object({
  id: z.string(),
  name: z.string(),
  latin: z.string(),
  facts: z.array(speciesFact),
  response: responseSpec,
  strains: z.array(strainView),
});
export type SpeciesView = z.infer<typeof speciesView>;

export const speciesList = z.array(speciesView);
