import type { Farm } from '../../shared/farm/farm.ts';
import type { SignalDefinition, SilenceDefinition } from './definition.ts';
import { healthAlarms } from './health.ts';
import { type LimitedPlace, limitAlarms, limitedPlaces } from './limits.ts';
import { rateAlarms } from './rates.ts';
import { silenceAlarms } from './silences.ts';

export interface Definitions {
  signals: SignalDefinition[];
  silences: SilenceDefinition[];
}

/** The alarms that the limits of one quantity in one place make. */
export const placeAlarms = (farm: Farm, place: LimitedPlace): SignalDefinition[] => [
  ...limitAlarms(farm, place),
  ...rateAlarms(place),
];

/** All alarms of a farm; one that wrote no limits has sensible ones all the same. */
export function definitionsOf(farm: Farm): Definitions {
  const places = limitedPlaces(farm);
  return {
    signals: [...places.flatMap((place) => placeAlarms(farm, place)), ...healthAlarms(farm)],
    silences: silenceAlarms(farm),
  };
}
