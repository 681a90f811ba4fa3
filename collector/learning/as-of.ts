import type { CohortForecast, InstantInterval } from '../../shared/forecasts.ts';
import type { EpochMs } from '../../shared/time.ts';
import { createPast, type PastParts } from './past.ts';

/** What was forecast of some bags at an instant, as told at the command line. Instants are epoch ms. */
export interface AsOfAnswer {
  asOf: EpochMs;
  /** Batch, and the numbers of its bags that share shelf and history. */
  id: string;
  bags: number[];
  shelf: string | null;
  /** When a shake is best; null when none is ahead. */
  shakeDue: InstantInterval | null;
  shake: CohortForecast['shake'];
  ready: InstantInterval | null;
  readyState: CohortForecast['ready']['state'];
  /** Somebody had seen it full. */
  seenFull: boolean;
  useBy: EpochMs | null;
  share: CohortForecast['share'];
  coreTempC: number;
  dose: CohortForecast['heat'];
  air: CohortForecast['air'];
  assumed: string[];
  notes: string[];
}

export const answerOf = (asOf: EpochMs, forecast: CohortForecast): AsOfAnswer => ({
  asOf,
  id: forecast.batch,
  bags: forecast.bags,
  shelf: forecast.shelf,
  shakeDue: forecast.shake.best,
  shake: forecast.shake,
  ready: forecast.ready.at,
  readyState: forecast.ready.state,
  seenFull: forecast.ready.seen,
  useBy: forecast.useBy.at,
  share: forecast.share,
  coreTempC: forecast.coreTempC,
  dose: forecast.heat,
  air: forecast.air,
  assumed: forecast.assumed,
  notes: forecast.notes,
});

/**
 * What the site said at each of the instants of all bags that stood then, out of what it knew then: one pass,
 * oldest instant first. Batches by the order of their making.
 *
 * @returns what could not be forecast, in words.
 */
export function tellAsOf(
  parts: PastParts,
  instants: readonly EpochMs[],
  tell: (answers: AsOfAnswer[], t: EpochMs) => void,
): string[] {
  const past = createPast(parts);
  for (const t of [...new Set(instants)].sort((a, b) => a - b)) {
    const forecasts = [...past.moveTo(t).values()];
    const madeAt = (batch: string) => past.states().get(batch)?.madeAt ?? 0;
    forecasts.sort(
      (a, b) =>
        madeAt(a.batch) - madeAt(b.batch) ||
        (a.batch < b.batch ? -1 : a.batch > b.batch ? 1 : a.bags[0]! - b.bags[0]!),
    );
    tell(
      forecasts.map((forecast) => answerOf(t, forecast)),
      t,
    );
  }
  return past.problems();
}
