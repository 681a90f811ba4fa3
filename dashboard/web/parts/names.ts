import type { FarmView } from '../../../shared/live.ts';
import { rooms } from '../text/rooms.ts';

type Named = Pick<FarmView, 'species' | 'strains' | 'containers' | 'rooms'>;

/** Looks names up by id; an id that the farm file no longer knows is shown as it is. */
export function namesOf(farm: Named) {
  const species = new Map(farm.species.map(({ id, name }) => [id, name]));
  const strains = new Map(farm.strains.map((strain) => [strain.id, strain]));
  const containers = new Map(farm.containers.map(({ id, name }) => [id, name]));
  const shelves = new Map<string, FarmView['rooms'][number]>();
  for (const room of farm.rooms)
    for (const rack of room.racks) for (const shelf of rack.shelves) shelves.set(shelf.id, room);
  return {
    /** `Oyster, Larch 2` */
    strain(id: string): string {
      const strain = strains.get(id);
      if (strain === undefined) return id;
      return rooms.strain(species.get(strain.species) ?? strain.species, strain.name);
    },
    container: (id: string): string => containers.get(id) ?? id,
    roomOf: (shelf: string): FarmView['rooms'][number] | undefined => shelves.get(shelf),
  };
}
