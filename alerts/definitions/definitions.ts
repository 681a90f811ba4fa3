import type { Farm } from '../../shared/farm/farm.ts';
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

/** All alarms of a farm; one that wrote no limits has sensible ones all the same. */
export function definitionsOf(farm: Farm): Definitions {
  const places = limitedPlaces(farm);
  return {
    signals: [
      ...places.flatMap((place) => placeAlarms(farm, place)),
      ...heldBackByUnloads([
        ...places.flatMap((place) => predictedAlarms(place, limitAlarms(farm, place))),
        ...equipmentAlarms(farm),
      ]),
      ...bagAlarms(farm),
      ...unloadAlarms(farm),
      ...healthAlarms(farm),
    ],
    silences: silenceAlarms(farm),
    groups: silenceGroups(farm),
  };
}
