import type { BatchState } from '../../shared/batches.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Container, Species, Strain } from '../../shared/farm/schema.ts';
import { createResponse, type Response, responseSpecOf } from '../../shared/growth/response.ts';
import { assumedOf } from '../../shared/growth/species-facts.ts';
import { type Thermal, thermalOf } from '../../shared/heat/container.ts';
import { type CoreMap, coreMap } from './core-step.ts';
import { stepS } from './grid.ts';

/** What a batch is made of: all that its computation needs of the farm file. */
export interface Kind {
  species: Species;
  strain: Strain;
  container: Container;
  response: Response;
  thermal: Thermal;
  /** Core over one step of the grid. */
  stepMap: CoreMap;
  /** Inputs that rest neither on a publication nor on this farm's own looks, in words. */
  assumed: string[];
}

/** Looks up and works out once what batches share. Throws AppError 'out-of-range' for impossible parameters. */
export function createKinds(farm: Farm): (batch: BatchState) => Kind | string {
  const responses = new Map<string, Response>();
  const thermals = new Map<string, { thermal: Thermal; stepMap: CoreMap }>();
  const once = <T>(made: Map<string, T>, id: string, make: () => T): T => {
    const found = made.get(id) ?? make();
    made.set(id, found);
    return found;
  };

  return (batch) => {
    const strain = farm.strains.get(batch.strain);
    if (strain === undefined) return `batch ${batch.id}: the farm file has no strain '${batch.strain}'`;
    const species = farm.species.get(strain.species);
    if (species === undefined) return `strain ${strain.id}: no species '${strain.species}'`;
    const container = farm.containers.get(batch.container);
    if (container === undefined)
      return `batch ${batch.id}: the farm file has no container '${batch.container}'`;
    const response = once(responses, strain.id, () => createResponse(responseSpecOf(species, strain)));
    const { thermal, stepMap } = once(thermals, container.id, () => {
      const thermal = thermalOf(container);
      return { thermal, stepMap: coreMap(thermal, stepS) };
    });
    const assumed = [
      ...assumedOf(species).map((what) => `${what} of ${species.name.toLowerCase()}`),
      'how much batches of a strain differ',
      'heat that the bag makes itself',
    ];
    return { species, strain, container, response, thermal, stepMap, assumed };
  };
}
