import type { Channel, Farm } from '../farm/farm.ts';

/** What tells a room's air temperature: sensors of the room at large, or without any all on its shelves. */
export function roomAirChannels(farm: Farm, room: string): Channel[] {
  const inRoom = [...farm.channels.values()].filter(
    (channel) => channel.room === room && channel.quantity === 'temperature',
  );
  const atLarge = inRoom.filter(({ shelf }) => shelf === null);
  return atLarge.length > 0 ? atLarge : inRoom;
}

/** What tells when a room's coolers run. */
export const coolerChannels = (farm: Farm, room: string): Channel[] =>
  [...farm.channels.values()].filter((channel) => channel.room === room && channel.quantity === 'cooler-on');
