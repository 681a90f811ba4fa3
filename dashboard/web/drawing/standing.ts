import type { BagMark, CohortForecast } from '../../../shared/forecasts.ts';
import type { FarmView, LiveState } from '../../../shared/live.ts';
import type { ContainerKind } from './container-shapes.ts';

/** One container where it stands. */
export interface Standing {
  cohort: string;
  batch: string;
  bag: number;
  kind: ContainerKind;
  /** Null while no forecast is known yet. */
  share: number | null;
  mark: BagMark | null;
}

export type ByShelf = ReadonlyMap<string, Standing[]>;

/** The mark that counts most, when a bag has several: one mark is all that can be read from afar. */
const weight: Record<BagMark, number> = { 'ran-hot': 0, look: 1, 'too-old': 2, shake: 3, ready: 4 };
export const chiefMark = (marks: readonly BagMark[]): BagMark | null =>
  marks.reduce<BagMark | null>(
    (chief, mark) => (chief === null || weight[mark] < weight[chief] ? mark : chief),
    null,
  );

/** What stands on each shelf, left to right: older batches first, then by bag number. */
export function standingByShelf(
  batches: LiveState['batches'],
  forecasts: readonly CohortForecast[],
  containers: FarmView['containers'],
): ByShelf {
  const kinds = new Map(containers.map(({ id, kind }) => [id, kind]));
  const known = new Map(forecasts.map((forecast) => [forecast.cohort, forecast]));
  const shelves = new Map<string, Standing[]>();
  for (const batch of [...batches].sort((a, b) => a.madeAt - b.madeAt || (a.id < b.id ? -1 : 1)))
    for (const cohort of batch.cohorts) {
      if (cohort.shelf === null) continue;
      const forecast = known.get(cohort.id);
      const row = shelves.get(cohort.shelf) ?? [];
      shelves.set(cohort.shelf, row);
      for (const bag of cohort.bags)
        row.push({
          cohort: cohort.id,
          batch: batch.id,
          bag,
          kind: kinds.get(batch.container) ?? 'bag',
          share: forecast?.share.likely ?? null,
          mark: forecast === undefined ? null : chiefMark(forecast.marks),
        });
    }
  return shelves;
}
