import type { Contestant, ScoreLine } from '../../shared/api/strains.ts';
import type { InstantInterval } from '../../shared/forecasts.ts';
import { type FinishedBatch, type Occasion, occasions } from '../../shared/learning.ts';
import { intervalCoverage } from '../../shared/stats/coverage.ts';
import { bias, crpsFair, meanAbsoluteError } from '../../shared/stats/scores.ts';
import { splitNormalMembers } from '../../shared/stats/split-normal.ts';
import { dayMs, type EpochMs } from '../../shared/time.ts';
import { observedReady } from './outcome.ts';
import { degreeDays, fixedDays, type Rule } from './rules.ts';

/** One saying of one contestant about one batch, and what came of it. All in days since the batch was made. */
export interface Saying {
  batch: string;
  strain: string;
  occasion: Occasion;
  contestant: Contestant;
  low: number;
  likely: number;
  high: number;
  observed: number;
}

/** A forecast that saw no end says: not within ten weeks. */
const noEndDays = 70;
/** Members by which a saying's three points are scored. */
const members = 199;

const endless = (asOf: EpochMs): InstantInterval => {
  const at = asOf + noEndDays * dayMs;
  return { earliest: at, likely: at, latest: at };
};

/**
 * What the forecast and both rules said of every batch that was seen full, on each occasion. A rule knows the
 * batches that were finished by then, which is the past that the forecast had.
 *
 * @param baseOf lowest growth temperature of a species [°C]
 */
export function sayingsOf(finished: readonly FinishedBatch[], baseOf: (species: string) => number): Saying[] {
  const rules: [Contestant, Rule][] = [
    ['forecast', (_, { ready, asOf }) => ready ?? endless(asOf)],
    ['fixed-days', fixedDays],
    ['degree-days', degreeDays(baseOf)],
  ];
  return finished.flatMap((batch) => {
    if (batch.outcome.kind !== 'seen') return [];
    const observed = observedReady(batch.outcome);
    const days = (t: EpochMs) => (t - batch.madeAt) / dayMs;
    return occasions.flatMap((occasion) => {
      const forecast = batch.forecasts[occasion];
      if (forecast === undefined) return [];
      const past = finished.filter(({ knownAt }) => knownAt <= forecast.asOf);
      return rules.map(([contestant, rule]) => {
        const { earliest, likely, latest } = rule(batch, forecast, past);
        return {
          batch: batch.batch,
          strain: batch.strain,
          occasion,
          contestant,
          low: days(earliest),
          likely: days(likely),
          high: days(latest),
          observed: days(observed),
        };
      });
    });
  });
}

/** Scores of each contestant on each occasion; none where there is nothing to score. */
export function scoresOf(sayings: readonly Saying[]): ScoreLine[] {
  return occasions.flatMap((occasion) =>
    (['forecast', 'fixed-days', 'degree-days'] as const).flatMap((contestant): ScoreLine[] => {
      const own = sayings.filter((one) => one.occasion === occasion && one.contestant === contestant);
      if (own.length === 0) return [];
      const likely = own.map((one) => one.likely);
      const observed = own.map((one) => one.observed);
      const crps = own.map((one) =>
        crpsFair(one.observed, splitNormalMembers(one.low, one.likely, one.high, members)),
      );
      const { share, inside, band, holds } = intervalCoverage(own);
      return [
        {
          occasion,
          contestant,
          count: own.length,
          crpsDays: crps.reduce((sum, one) => sum + one, 0) / own.length,
          biasDays: bias(likely, observed),
          maeDays: meanAbsoluteError(likely, observed),
          coverage: { share, inside, band, holds },
        },
      ];
    }),
  );
}
