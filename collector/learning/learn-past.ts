import type { Database } from 'better-sqlite3';
import type { Farm } from '../../shared/farm/farm.ts';
import type { FinishedBatch, KeptForecast } from '../../shared/learning.ts';
import { dayMs, type EpochMs, secondMs } from '../../shared/time.ts';
import { finishedBatchOf } from './finish.ts';
import { keptOf } from './kept.ts';
import { outcomeOf, outdated } from './outcome.ts';
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
  /** Batches of which something else was put down than their record says now: to be withdrawn first. */
  stale: string[];
  /** Batches that were not put down yet. */
  fresh: FinishedBatch[];
  /** Forecasts of batches that still stand, by cohort, for scoring them once they are finished. */
  kept: (KeptForecast & { cohort: string })[];
}

const midnightBy = (t: EpochMs): EpochMs => Math.floor(t / dayMs) * dayMs;

/** What is put down wrongly, and batches that were finished by an instant, as known then, and are not put down. */
function lackingBy({ database, finished }: PastToLearn, t: EpochMs) {
  const batches = createPastBatches(database);
  batches.moveTo(t);
  const states = batches.states();
  const stale = outdated(
    finished.filter(({ knownAt }) => knownAt <= t),
    states,
  );
  const there = new Set(finished.map(({ batch }) => batch));
  for (const batch of stale) there.delete(batch);
  const missing = [...states.values()].filter(
    (batch) => !there.has(batch.id) && outcomeOf(batch) !== undefined,
  );
  return { stale, missing };
}

/** True when `learnPast` would change what is put down; found out quickly. */
export function lacksLearning(parts: PastToLearn): boolean {
  const { stale, missing } = lackingBy(parts, midnightBy(parts.now));
  return stale.length > 0 || missing.length > 0;
}

/**
 * Learns from batches that were finished before the site ran or while it was away: goes through the past as a
 * running site does, keeps its forecasts, and puts each finished batch down at the midnight after. Nothing is
 * done, quickly, when none is missing.
 */
export function learnPast(parts: PastToLearn): LearnedPast {
  const { database, farm, now, onShare = () => {} } = parts;
  const until = midnightBy(now);
  const { stale, missing } = lackingBy(parts, until);
  if (missing.length === 0) return { stale, fresh: [], kept: [] };
  const from = midnightBy(Math.min(...missing.map(({ madeAt }) => madeAt)));

  const there = new Set(parts.finished.map(({ batch }) => batch));
  for (const batch of stale) there.delete(batch);
  const kept = new Map<string, (KeptForecast & { cohort: string })[]>();
  let finished = parts.finished.filter(({ batch }) => there.has(batch));
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
  return { stale, fresh, kept: [...kept.values()].flat() };
}
