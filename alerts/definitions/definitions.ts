import { roomAirChannels } from '../../shared/air/room-channels.ts';
import { type Farm, outsidePlace } from '../../shared/farm/farm.ts';
import type { RoomsKnown } from '../../shared/room/rooms-known.ts';
import type { RoomWatched } from '../conditions/room-followed.ts';
import { bagAlarms } from './bags.ts';
import type { SignalDefinition, SilenceDefinition, SilenceGroupDefinition } from './definition.ts';
import { equipmentAlarms } from './equipment.ts';
import { healthAlarms } from './health.ts';
import { type LimitedPlace, limitAlarms, limitedPlaces } from './limits.ts';
import { predictedAlarms } from './predictions.ts';
import { rateAlarms } from './rates.ts';
import { silenceAlarms, silenceGroups } from './silences.ts';
import { heldBackByUnloads, unloadAlarms } from './unloads.ts';

export interface Definitions {
  signals: SignalDefinition[];
  silences: SilenceDefinition[];
  groups: SilenceGroupDefinition[];
}

/** The alarms that the limits of one quantity in one place make. */
export const placeAlarms = (farm: Farm, place: LimitedPlace): SignalDefinition[] =>
  heldBackByUnloads([...limitAlarms(farm, place), ...rateAlarms(place)]);

/**
 * All alarms of a farm; one that wrote no limits has sensible ones all the same. With `known`, those that look ahead
 * go by what rooms taught, where they taught enough.
 */
export function definitionsOf(farm: Farm, known: RoomsKnown | null = null): Definitions {
  const places = limitedPlaces(farm);
  const outside = roomAirChannels(farm, outsidePlace).map(({ id }) => id);
  const watched = (room: string): RoomWatched | undefined =>
    known === null || !farm.rooms.has(room) ? undefined : { room, outside, known };
  return {
    signals: [
      ...places.flatMap((place) => placeAlarms(farm, place)),
      ...heldBackByUnloads([
        ...places.flatMap((place) => predictedAlarms(place, limitAlarms(farm, place), watched(place.room))),
        ...equipmentAlarms(farm, watched),
      ]),
      ...bagAlarms(farm),
      ...unloadAlarms(farm),
      ...healthAlarms(farm),
    ],
    silences: silenceAlarms(farm),
    groups: silenceGroups(farm),
  };
}
