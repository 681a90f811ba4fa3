import type { CohortForecast } from '../../shared/forecasts.ts';
import type { KeptForecast } from '../../shared/learning.ts';

/** What is kept of a forecast. */
export const keptOf = (forecast: CohortForecast): KeptForecast => ({
  batch: forecast.batch,
  bags: forecast.bags,
  asOf: forecast.asOf,
  ready: forecast.ready.at,
  share: forecast.share,
  degreeDays: forecast.degreeDays,
  coreTempC: forecast.coreTempC,
});
