import type { Database } from 'better-sqlite3';
import type { BatchState } from '../../shared/batches.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { FinishedBatch, KeptForecast } from '../../shared/learning.ts';
import { dayMs, type EpochMs, secondMs } from '../../shared/time.ts';
import { finishedBatchOf } from './finish.ts';
import { keptOf } from './kept.ts';
import { outcomeOf } from './outcome.ts';
import { createPast } from './past.ts';
import { createPastBatches } from './past-batches.ts';

/** Forecasts are kept this often, at whole quarters of the (UTC) day. */
export const keptEveryMs = dayMs / 4;

/**
 * What midnight's lessons count from: a forecast of that very instant was made without them, the next one a
 * second later with them.
 */
export const knownAfterMs = secondMs;

export interface PastToLearn {
  /** May be read-only: nothing is written. */
  database: Database;
  farm: Farm;
  /** What finished batches are put down already, in the order in which they became known. */
  finished: readonly FinishedBatch[];
  /** Batches that were finished later than the midnight before are left for the running site. */
  now: EpochMs;
  onShare?: (share: number) => void;
}

export interface LearnedPast {
  /** Batches that were not put down yet. */
  fresh: FinishedBatch[];
  /** Forecasts of batches that still stand, by cohort, for scoring them once they are finished. */
  kept: (KeptForecast & { cohort: string })[];
}

const midnightBy = (t: EpochMs): EpochMs => Math.floor(t / dayMs) * dayMs;

/** Batches that were finished by an instant, as known then, and are not put down. */
function missing({ database, finished }: PastToLearn, t: EpochMs): BatchState[] {
  const batches = createPastBatches(database);
  batches.moveTo(t);
  const there = new Set(finished.map(({ batch }) => batch));
  return [...batches.states().values()].filter(
    (batch) => !there.has(batch.id) && outcomeOf(batch) !== undefined,
  );
}

/** True when `learnPast` would put some batch down; found out quickly. */
export const lacksLearning = (parts: PastToLearn): boolean =>
  missing(parts, midnightBy(parts.now)).length > 0;

/**
 * Learns from batches that were finished before the site ran or while it was away: goes through the past as a
 * running site does, keeps its forecasts, and puts each finished batch down at the midnight after. Nothing is
 * done, quickly, when none is missing.
 */
export function learnPast(parts: PastToLearn): LearnedPast {
  const { database, farm, now, onShare = () => {} } = parts;
  const until = midnightBy(now);
  const lacking = missing(parts, until);
  if (lacking.length === 0) return { fresh: [], kept: [] };
  const from = midnightBy(Math.min(...lacking.map(({ madeAt }) => madeAt)));

  const there = new Set(parts.finished.map(({ batch }) => batch));
  const kept = new Map<string, (KeptForecast & { cohort: string })[]>();
  let finished = parts.finished;
  let fresh: FinishedBatch[] = [];
  const past = createPast({
    database,
    farm,
    finished: (t) => finished.filter(({ knownAt }) => knownAt <= t),
    explain: false,
  });

  const putDown = (midnight: EpochMs): FinishedBatch[] =>
    [...past.states().values()].flatMap((batch) => {
      const outcome = there.has(batch.id) ? undefined : outcomeOf(batch);
      if (outcome === undefined) return [];
      there.add(batch.id);
      const one = finishedBatchOf({
        batch,
        outcome,
        species: farm.strains.get(batch.strain)?.species ?? '',
        traits: past.engine.traits(batch),
        kept: kept.get(batch.id) ?? [],
        knownAt: midnight + knownAfterMs,
      });
      kept.delete(batch.id);
      return [one];
    });

  for (let t = from; t <= until; t += keptEveryMs) {
    for (const forecast of past.moveTo(t).values()) {
      if (forecast.asOf !== t || there.has(forecast.batch)) continue;
      const own = kept.get(forecast.batch) ?? [];
      own.push({ ...keptOf(forecast), cohort: forecast.cohort });
      kept.set(forecast.batch, own);
    }
    if (t % dayMs !== 0) continue;
    const down = putDown(t);
    if (down.length > 0) {
      fresh = [...fresh, ...down];
      finished = [...finished, ...down];
    }
    onShare((t - from) / Math.max(1, until - from));
  }
  return { fresh, kept: [...kept.values()].flat() };
}
