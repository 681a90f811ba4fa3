import type { BatchState } from '../../shared/batches.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { CohortForecast } from '../../shared/forecasts.ts';
import type { StandingCohort } from '../../shared/unload/plan-input.ts';

interface StandingNeeds {
  farm: Farm;
  room: string;
  batches: readonly BatchState[];
  forecasts: Iterable<CohortForecast>;
  /** How much warmer the air at a shelf usually is than its room's [K]. */
  shelfAboveRoomK: (shelf: string) => number;
}

/** Bags in a room as a plan takes them: what they are, how warm, and what heat they have had. */
export function standingIn({
  farm,
  room,
  batches,
  forecasts,
  shelfAboveRoomK,
}: StandingNeeds): StandingCohort[] {
  const byId = new Map(batches.map((batch) => [batch.id, batch]));
  return [...forecasts].flatMap(({ cohort, batch, shelf, coreTempC, heat }) => {
    const place = shelf === null ? undefined : farm.shelves.get(shelf);
    const state = byId.get(batch);
    if (place?.room !== room || state === undefined) return [];
    const container = farm.containers.get(state.container);
    const species = farm.species.get(farm.strains.get(state.strain)?.species ?? '');
    if (container === undefined || species === undefined) return [];
    return {
      ...{ cohort, batch, container, coreC: coreTempC, memoryHours: heat.recentHours },
      ...{ shelf: place.id, rack: place.rack, shelfAboveRoomK: shelfAboveRoomK(place.id) },
      ...{ warmLimitC: species.warmLimitC, heatLimitC: species.heatLimitC },
    };
  });
}
