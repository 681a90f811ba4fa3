import type { BatchState } from '../../shared/batches.ts';
import { AppError, messageOf } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { CohortForecast } from '../../shared/forecasts.ts';
import type { BatchTraits, Beliefs } from '../../shared/growth/belief.ts';
import type { FinishedBatch, KeptForecast } from '../../shared/learning.ts';
import { type Cancel, type Clock, dayMs, type EpochMs } from '../../shared/time.ts';
import { beliefsOf } from './beliefs-of.ts';
import { finishedBatchOf } from './finish.ts';
import { keptOf } from './kept.ts';
import { keptEveryMs, knownAfterMs } from './learn-past.ts';
import type { Ledger } from './ledger.ts';
import { outcomeOf, outdated } from './outcome.ts';

/** Kept forecasts older than this are of no batch that still stands. */
const thinAfterMs = 200 * dayMs;

export interface LearnerParts {
  clock: Clock;
  ledger: Ledger;
  farm: () => Farm;
  /** Batches with all their cohorts, those that left included. */
  wholeBatches: () => readonly BatchState[];
  /** What a batch teaches; see `Forecaster.traits`. */
  traits: (batch: BatchState) => Promise<BatchTraits>;
  onBeliefs: (beliefs: Beliefs) => void;
  onProblem: (thrown: unknown) => void;
}

/**
 * Learns while a site runs: keeps forecasts four times a day, puts down what finished batches teach at each
 * midnight (UTC), and hands over what is to be believed from then on. `learnPast` does the same to a past.
 */
export function createLearner(parts: LearnerParts) {
  const { clock, ledger, farm, wholeBatches, traits, onBeliefs, onProblem } = parts;
  const quarterOf = (t: EpochMs): number => Math.floor(t / keptEveryMs);
  /** The quarter of the day of the last forecast of each cohort. */
  const seen = new Map<string, number>();
  let finished: FinishedBatch[] = [];
  let cancel: Cancel = () => {};

  const putDown = async (midnight: EpochMs): Promise<void> => {
    const batches = wholeBatches();
    const stale = outdated(finished, new Map(batches.map((batch) => [batch.id, batch])));
    ledger.withdraw(stale);
    const there = ledger.names();
    const fresh: FinishedBatch[] = [];
    for (const batch of batches) {
      if (there.has(batch.id)) continue;
      const outcome = outcomeOf(batch);
      if (outcome === undefined) continue;
      let taught: BatchTraits | string;
      try {
        taught = await traits(batch);
      } catch (thrown) {
        // Asked again at the next midnight.
        if (thrown instanceof AppError && thrown.code === 'unavailable') continue;
        taught = messageOf(thrown);
      }
      fresh.push(
        finishedBatchOf({
          batch,
          outcome,
          species: farm().strains.get(batch.strain)?.species ?? '',
          traits: taught,
          kept: ledger.kept(batch.id),
          knownAt: midnight + knownAfterMs,
        }),
      );
    }
    ledger.thin(midnight - thinAfterMs);
    if (fresh.length === 0 && stale.length === 0) return;
    ledger.finish(fresh);
    finished = ledger.finished();
    onBeliefs(beliefsOf(farm(), finished));
  };

  const armMidnight = (): void => {
    const midnight = (Math.floor(clock.now() / dayMs) + 1) * dayMs;
    cancel = clock.after(midnight - clock.now(), () => {
      putDown(midnight).catch(onProblem);
      armMidnight();
    });
  };

  return {
    /** What is to be believed at the start; call before batches are forecast. Then waits for midnights. */
    start(): void {
      finished = ledger.finished(clock.now());
      onBeliefs(beliefsOf(farm(), finished));
      armMidnight();
    },
    /** Takes forecasts in as they come; one of each cohort is kept in each quarter of the day. */
    onForecasts(forecasts: readonly CohortForecast[], ended: readonly string[]): void {
      for (const cohort of ended) seen.delete(cohort);
      const due: (KeptForecast & { cohort: string })[] = [];
      for (const forecast of forecasts) {
        const quarter = quarterOf(forecast.asOf);
        const before = seen.get(forecast.cohort);
        seen.set(forecast.cohort, quarter);
        if (before !== undefined && quarter > before)
          due.push({ ...keptOf(forecast), cohort: forecast.cohort });
      }
      if (due.length > 0) ledger.keep(due);
    },
    /** Takes up what was put down by others, and says what is to be believed. */
    refresh(): void {
      finished = ledger.finished(clock.now());
      onBeliefs(beliefsOf(farm(), finished));
    },
    /** Batches that are finished, in the order in which that became known. */
    finished: (): readonly FinishedBatch[] => finished,
    stop: (): void => cancel(),
  };
}
