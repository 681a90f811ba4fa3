import type { Quantity } from '../readings.ts';
import type { Limits } from './limits-schema.ts';
import type { Container, FarmFile, Sensor, SensorChannel, Species, Strain } from './schema.ts';

/** A shelf with the room and rack it belongs to. */
export interface ShelfPlace {
  id: string;
  rack: string;
  room: string;
  /** 0 is the top shelf. */
  level: number;
  places: number;
  limits: Limits;
}

/** One quantity of one sensor: the unit that readings, alarms and charts speak of. */
export interface Channel {
  /** `<sensor>.<quantity>`. */
  id: string;
  sensor: Sensor;
  spec: SensorChannel;
  quantity: Quantity;
  /** A room, or `outsidePlace`. */
  room: string;
  /** Null when it hangs in the room at large. */
  shelf: string | null;
}

/** The farm file with its references resolved and look-ups made. Immutable; a reload makes a new one. */
export interface Farm {
  file: FarmFile;
  rooms: ReadonlyMap<string, FarmFile['rooms'][number]>;
  shelves: ReadonlyMap<string, ShelfPlace>;
  channels: ReadonlyMap<string, Channel>;
  species: ReadonlyMap<string, Species>;
  strains: ReadonlyMap<string, Strain>;
  containers: ReadonlyMap<string, Container>;
}

/** Where a sensor of the air outside hangs: `at: outside`. No room or shelf has this id. */
export const outsidePlace = 'outside';

/** A probe that is put into hot loads: what it reads is of no place, and no neighbour of any other. */
export const isInLoads = ({ quantity, sensor }: Pick<Channel, 'quantity' | 'sensor'>): boolean =>
  quantity === 'probe-temperature' && sensor.inLoads === true;

export const channelId = (sensor: string, quantity: Quantity): string => `${sensor}.${quantity}`;

/**
 * Resolves a validated farm file into look-ups.
 * References were checked when the file was loaded: an unknown `at` leaves that sensor without channels.
 */
export function buildFarm(file: FarmFile, builtInSpecies: readonly Species[]): Farm {
  const shelves = new Map<string, ShelfPlace>();
  for (const room of file.rooms)
    for (const rack of room.racks)
      rack.shelves.forEach((shelf, level) => {
        const { id, places } = shelf;
        shelves.set(id, { id, rack: rack.id, room: room.id, level, places, limits: shelf.limits ?? {} });
      });

  const rooms = new Map(file.rooms.map((room) => [room.id, room]));
  const channels = new Map<string, Channel>();
  for (const sensor of file.sensors) {
    const shelf = shelves.get(sensor.at);
    const room = shelf?.room ?? (rooms.has(sensor.at) || sensor.at === outsidePlace ? sensor.at : undefined);
    if (room === undefined) continue;
    for (const spec of sensor.channels) {
      const id = channelId(sensor.id, spec.quantity);
      channels.set(id, { id, sensor, spec, quantity: spec.quantity, room, shelf: shelf?.id ?? null });
    }
  }
  const byId = <T extends { id: string }>(items: readonly T[]) =>
    new Map(items.map((item) => [item.id, item]));
  return {
    file,
    rooms,
    shelves,
    channels,
    species: byId([...builtInSpecies, ...file.species]),
    strains: byId(file.strains),
    containers: byId(file.containers),
  };
}
