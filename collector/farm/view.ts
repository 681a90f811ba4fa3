import { derivedChannels, derivedRecipes } from '../../shared/air/derived.ts';
import type { Channel, Farm } from '../../shared/farm/farm.ts';
import type { LimitBand } from '../../shared/farm/schema.ts';
import type { FarmView } from '../../shared/live.ts';
import { siUnitOf } from '../../shared/readings.ts';

type Room = FarmView['rooms'][number];

const pair = (band: LimitBand | undefined): Room['limits']['temperature'] => ({
  low: band?.low ?? null,
  high: band?.high ?? null,
});

const bag = { stands: 'bag' } as const;
const loads = { stands: 'loads' } as const;

const channelView = ({ id, quantity, sensor, room, shelf }: Channel): FarmView['channels'][number] => ({
  id,
  quantity,
  unit: siUnitOf[quantity],
  sensor: sensor.name ?? sensor.id,
  room,
  shelf,
  everyS: sensor.everyS,
  ...(quantity !== 'probe-temperature' ? {} : sensor.inBag ? bag : sensor.inLoads ? loads : {}),
});

/**
 * The farm's structure as screens draw it: names, limits and order of rooms, racks and shelves. Holds
 * no topic, address, person or secret.
 */
export function farmView(farm: Farm, version: number): FarmView {
  const channels = [...farm.channels.values()];
  const hangingAt = (room: string, shelf: string | null): string[] =>
    channels.filter((channel) => channel.room === room && channel.shelf === shelf).map(({ id }) => id);
  const { site, rooms } = farm.file;
  return {
    version,
    site: { id: site.id, name: site.name, timeZone: site.timeZone },
    rooms: rooms.map((room) => ({
      id: room.id,
      name: room.name,
      limits: { temperature: pair(room.limits.temperature), humidity: pair(room.limits.humidity) },
      channels: hangingAt(room.id, null),
      racks: room.racks.map((rack) => ({
        id: rack.id,
        name: rack.name ?? rack.id,
        shelves: rack.shelves.map(({ id, places }) => ({ id, places, channels: hangingAt(room.id, id) })),
      })),
    })),
    channels: channels.map(channelView),
    derived: derivedChannels(farm).map(({ id, quantity, humidity }) => ({
      ...channelView(humidity),
      id,
      quantity,
      unit: derivedRecipes[quantity].unit,
    })),
    species: [...farm.species.values()].map(({ id, name, latin }) => ({ id, name, latin })),
    strains: [...farm.strains.values()].map(({ id, name, species }) => ({ id, name, species })),
    containers: [...farm.containers.values()].map(({ id, name, kind }) => ({ id, name, kind })),
  };
}
