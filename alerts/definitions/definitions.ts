import type { Farm } from '../../shared/farm/farm.ts';
import type { SignalDefinition, SilenceDefinition } from './definition.ts';
import { healthAlarms } from './health.ts';
import { limitAlarms, limitedPlaces } from './limits.ts';
import { rateAlarms } from './rates.ts';
import { silenceAlarms } from './silences.ts';

export interface Definitions {
  signals: SignalDefinition[];
  silences: SilenceDefinition[];
}

/** All alarms of a farm; one that wrote no limits has sensible ones all the same. */
export function definitionsOf(farm: Farm): Definitions {
  const places = limitedPlaces(farm);
  return {
    signals: [
      ...places.flatMap((place) => [...limitAlarms(farm, place), ...rateAlarms(place)]),
      ...healthAlarms(farm),
    ],
    silences: silenceAlarms(farm),
  };
}
