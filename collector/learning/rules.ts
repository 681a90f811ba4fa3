import type { InstantInterval } from '../../shared/forecasts.ts';
import type { FinishedBatch, KeptForecast } from '../../shared/learning.ts';
import { studentTQuantile } from '../../shared/stats/student-t.ts';
import { dayMs, type EpochMs } from '../../shared/time.ts';
import { observedReady } from './outcome.ts';

/** Something else that says when a batch is ready, from the same past. */
export type Rule = (
  batch: Pick<FinishedBatch, 'species' | 'way' | 'madeAt'>,
  forecast: KeptForecast,
  past: readonly FinishedBatch[],
) => InstantInterval;

/**
 * What a grower starts from: days from inoculation until full by way of inoculating, at an ordinary room's
 * 24 °C. Common practice, no source.
 */
const practiceDays: Record<FinishedBatch['way'], number> = {
  'grain-to-grain': 8,
  'agar-wedges': 14,
  'liquid-culture': 9,
};
/** How well that is known before the first batch: 1 sd of the log of the days, and what it counts in batches. Assumed. */
const practiceSd = 0.3;
const practiceWeight = 1;
const practiceDegrees = 4;

const logsOf = (values: readonly number[]) => values.filter((value) => value > 0).map(Math.log);

/**
 * 10, 50 and 90 % points of the next number when the logs are normal with mean and spread unknown: conjugate
 * normal-inverse-gamma, so Student's t (Gelman et al., Bayesian Data Analysis, 3rd ed., 3.3).
 */
export function nextOf(values: readonly number[], expected: number): readonly [number, number, number] {
  const logs = logsOf(values);
  const count = logs.length;
  const weight = practiceWeight + count;
  const start = Math.log(expected);
  const sampleMean = count === 0 ? start : logs.reduce((sum, log) => sum + log, 0) / count;
  const mean = (practiceWeight * start + count * sampleMean) / weight;
  const degrees = practiceDegrees + count;
  const squares =
    practiceDegrees * practiceSd ** 2 +
    logs.reduce((sum, log) => sum + (log - sampleMean) ** 2, 0) +
    ((practiceWeight * count) / weight) * (sampleMean - start) ** 2;
  const scale = Math.sqrt((squares / degrees) * (1 + 1 / weight));
  const reach = scale * studentTQuantile(0.9, degrees);
  return [Math.exp(mean - reach), Math.exp(mean), Math.exp(mean + reach)];
}

/** Batches of the past that a rule goes by: of the same species and way, else of the same way. */
function likeIt(
  { species, way }: Pick<FinishedBatch, 'species' | 'way'>,
  past: readonly FinishedBatch[],
): readonly FinishedBatch[] {
  const seen = past.filter((one) => one.outcome.kind === 'seen' && one.way === way);
  const same = seen.filter((one) => one.species === species);
  return same.length >= 2 ? same : seen;
}

/** Never before the instant at which it is said: the bags are not full then. */
const fromDays = (at: (days: number) => EpochMs, [low, likely, high]: readonly number[], asOf: EpochMs) => {
  const point = (days: number) => Math.round(Math.max(asOf, at(days)));
  return { earliest: point(low!), likely: point(likely!), latest: point(high!) };
};

/** So many days after the making as such batches took before. */
export const fixedDays: Rule = (batch, { asOf }, past) => {
  const days = likeIt(batch, past).flatMap(({ outcome, madeAt }) =>
    outcome.kind === 'seen' ? [(observedReady(outcome) - madeAt) / dayMs] : [],
  );
  return fromDays((count) => batch.madeAt + count * dayMs, nextOf(days, practiceDays[batch.way]), asOf);
};

/**
 * As many degree-days above the species' lowest temperature as such batches took before, gathered on as fast as
 * since the making.
 *
 * @param baseOf lowest growth temperature of a species [°C]
 */
export const degreeDays =
  (baseOf: (species: string) => number): Rule =>
  (batch, { asOf, degreeDays: gathered, coreTempC }, past) => {
    const like = likeIt(batch, past).flatMap((one) =>
      one.degreeDays === null || one.outcome.kind !== 'seen' ? [] : [one.degreeDays],
    );
    const age = (asOf - batch.madeAt) / dayMs;
    const perDay = Math.max(1, age >= 1 ? gathered / age : coreTempC - baseOf(batch.species));
    const wanted = nextOf(like, practiceDays[batch.way] * Math.max(1, 24 - baseOf(batch.species)));
    return fromDays((needed) => asOf + ((needed - gathered) / perDay) * dayMs, wanted, asOf);
  };
