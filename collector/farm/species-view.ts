import type { SpeciesView } from '../../shared/api/species.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { responseSpecOf } from '../../shared/growth/response.ts';
import { speciesFacts } from '../../shared/growth/species-facts.ts';

/** All species that the farm may grow, those with strains first, with what their numbers rest on. */
export function speciesViews({ species, strains }: Farm): SpeciesView[] {
  const views = [...species.values()].map((one): SpeciesView => {
    const own = [...strains.values()].filter((strain) => strain.species === one.id);
    return {
      id: one.id,
      name: one.name,
      latin: one.latin,
      facts: speciesFacts(one),
      response: responseSpecOf(one),
      strains: own.map((strain) => ({
        id: strain.id,
        name: strain.name,
        rateFactor: strain.rateFactor,
        response: responseSpecOf(one, strain),
        ownResponse: strain.response !== undefined,
      })),
    };
  });
  return [
    ...views.filter((view) => view.strains.length > 0),
    ...views.filter((view) => view.strains.length === 0),
  ];
}
