import { AppError } from '../../shared/errors.ts';
import type { Channel, Farm } from '../../shared/farm/farm.ts';
import { type Quantity, quantity as quantityName } from '../../shared/readings.ts';

const say = (names: readonly string[]): string =>
  names.length === 0 ? 'none' : names.slice(0, 12).join(', ') + (names.length > 12 ? ', ...' : '');

/**
 * The channel that a name means: a channel (`shelf-b2.temperature`), a sensor, a shelf or a room, of which
 * those three have one channel of the quantity wanted. `.humidity` and the like after a sensor, shelf or room
 * chooses another quantity.
 *
 * @throws AppError 'not-found' for a name of none, 'conflict' where several sensors hang; with what to write.
 */
export function channelNamed(farm: Farm, name: string, wanted: Quantity = 'temperature'): Channel {
  const exact = farm.channels.get(name);
  if (exact !== undefined) return exact;
  const dot = name.lastIndexOf('.');
  const suffix = quantityName.safeParse(name.slice(dot + 1));
  if (dot > 0 && suffix.success) return channelNamed(farm, name.slice(0, dot), suffix.data);

  const channels = [...farm.channels.values()];
  const isPlace = farm.shelves.has(name) || farm.rooms.has(name);
  const isSensor = farm.file.sensors.some((sensor) => sensor.id === name);
  if (!isPlace && !isSensor)
    throw new AppError(
      'not-found',
      `there is no sensor, channel, shelf or room '${name}' in the farm file. Sensors: ${say(farm.file.sensors.map(({ id }) => id))}.`,
    );
  const matching = channels.filter(
    ({ sensor, quantity }) => quantity === wanted && (isSensor ? sensor.id === name : sensor.at === name),
  );
  if (matching.length === 1) return matching[0]!;
  if (matching.length > 1)
    throw new AppError(
      'conflict',
      `several sensors measure ${wanted} at ${name}; name one of ${say(matching.map(({ id }) => id))}.`,
    );
  throw new AppError(
    'not-found',
    `nothing measures ${wanted} at ${name}. Add a sensor there to the farm file (its topic may be one that nothing publishes to), or name another.`,
  );
}
