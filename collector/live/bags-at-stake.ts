import type { BagsAtStake } from '../../shared/alarm-detail.ts';
import type { AlarmView } from '../../shared/alarms.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { CohortForecast } from '../../shared/forecasts.ts';

/** Bags in the room or on the shelf of an alarm, the warmest first; none where it has no place. */
export function bagsAtStake(
  { room, shelf }: Pick<AlarmView, 'room' | 'shelf'>,
  farm: Farm,
  forecasts: Iterable<CohortForecast>,
): BagsAtStake[] {
  if (room === null) return [];
  return [...forecasts]
    .filter((one) => one.shelf !== null && farm.shelves.get(one.shelf)?.room === room)
    .filter((one) => shelf === null || one.shelf === shelf)
    .map(({ cohort, batch, bags, shelf: on, coreTempC, heat }) => ({
      ...{ cohort, batch, bags, shelf: on, coreTempC, heat },
    }))
    .sort((a, b) => b.coreTempC - a.coreTempC);
}
