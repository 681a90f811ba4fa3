import type { AlarmDetail, BagsAtStake } from '../../shared/alarm-detail.ts';
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

/** Bags of those at stake whose computed course shows an alarm: the coldest, the warmest, or the most exposed. */
export function courseOf(
  computed: Omit<NonNullable<AlarmDetail['course']>, 'cohort'> | null,
  wrong: 'above' | 'below' | null,
  bags: readonly BagsAtStake[],
): AlarmDetail['course'] {
  if (computed === null) return null;
  // As the alarm itself does: those that still gather heat, if any do.
  const gathering = bags.filter(({ heat }) => heat.perHour > 0);
  const exposed = (gathering.length > 0 ? gathering : [...bags]).sort(
    (a, b) => b.heat.recentHours - a.heat.recentHours,
  );
  const shown = computed.of === 'heat' ? exposed[0] : wrong === 'below' ? bags.at(-1) : bags[0];
  return shown === undefined ? null : { ...computed, cohort: shown.cohort };
}
