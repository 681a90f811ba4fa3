import type { Database } from 'better-sqlite3';
import type { BatchState } from '../../shared/batches.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { CohortForecast } from '../../shared/forecasts.ts';
import type { FinishedBatch } from '../../shared/learning.ts';
import type { EpochMs } from '../../shared/time.ts';
import { createEngine, type Engine } from '../forecast/engine.ts';
import { airMemoryMs } from '../forecast/hand-over-air.ts';
import { withAncestors } from '../forecast/lineage.ts';
import { createToldBook } from '../rooms/told-book.ts';
import { createBeliefKeeper } from './beliefs-of.ts';
import { createPastAir } from './past-air.ts';
import { createPastBatches } from './past-batches.ts';

export interface PastParts {
  database: Database;
  farm: Farm;
  /** Finished batches known up to an instant; asked again as time goes on. */
  finished(knownBy: EpochMs): readonly FinishedBatch[];
  /** False leaves out of forecasts what moved them. */
  explain?: boolean;
}

/**
 * A site's past, gone through once from its beginning: at every instant it knows what the site knew then, of
 * readings, events, finished batches and of what its rooms' models told of their air, and nothing later. What it
 * answers is what the site said then.
 */
export function createPast({ database, farm, finished, explain = true }: PastParts) {
  const engine: Engine = createEngine({ explain });
  engine.setFarm(farm.file);
  const air = createPastAir(database, farm);
  const batches = createPastBatches(database);
  const beliefs = createBeliefKeeper(farm);
  const told = createToldBook(database);
  let toldTo: EpochMs = Number.NEGATIVE_INFINITY;
  const forecasts = new Map<string, CohortForecast>();
  const problems = new Set<string>();

  return {
    engine,
    /** Goes on to an instant. Never goes back. @returns the forecasts of all that stands then. */
    moveTo(t: EpochMs): ReadonlyMap<string, CohortForecast> {
      air.feed(engine, t);
      told.tell(engine, Math.max(toldTo, t - airMemoryMs), t);
      toldTo = t;
      const next = beliefs.after(finished(t));
      if (next !== undefined) engine.setBeliefs(next);
      // Those that bags were poured from may have ended long ago.
      engine.setBatches(withAncestors(batches.moveTo(t), (id) => batches.states().get(id)));
      const advanced = engine.advance(t);
      for (const cohort of advanced.ended) forecasts.delete(cohort);
      for (const forecast of advanced.forecasts) forecasts.set(forecast.cohort, forecast);
      for (const problem of advanced.problems) problems.add(problem);
      return forecasts;
    },
    states: (): ReadonlyMap<string, BatchState> => batches.states(),
    /** What could not be forecast on the way, in words. */
    problems: (): string[] => [...problems],
  };
}
