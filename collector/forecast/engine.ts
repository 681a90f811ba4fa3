import type { BatchState } from '../../shared/batches.ts';
import { messageOf } from '../../shared/errors.ts';
import { buildFarm, type Farm } from '../../shared/farm/farm.ts';
import type { FarmFile } from '../../shared/farm/schema.ts';
import type { CohortCurve, CohortForecast } from '../../shared/forecasts.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import type { EpochMs } from '../../shared/time.ts';
import { createAirBook } from './air-book.ts';
import { type BatchRun, createBatchRun } from './batch-run.ts';
import { shelfAt } from './cohort-run.ts';
import { curveOf } from './curve.ts';
import { stepOf, stepsPerDay } from './grid.ts';
import { createKinds } from './kind.ts';
import { forecastOf } from './summary.ts';
import { firstPrior, tableMeans } from './traits.ts';
import { viewOf } from './view.ts';

export interface Advanced {
  /** Forecasts that were worked out anew, which is all that anything happened to. */
  forecasts: CohortForecast[];
  /** Cohorts that were forecast before and are no more. */
  ended: string[];
  /** What could not be forecast and why, in words. */
  problems: string[];
}

/**
 * Air, batches and what becomes of them: the whole computation, without I/O, clock or threads. What it says at
 * an instant depends only on what it was told of the time up to then, not on the order or the pieces in which.
 */
export interface Engine {
  setFarm(file: FarmFile): void;
  /** Takes in batches as they stand now; `whole` says that there are no others. */
  setBatches(batches: readonly BatchState[], whole?: boolean): void;
  /** Good readings of one channel [°C], in any order; each once. */
  addReadings(channel: string, t: ArrayLike<EpochMs>, value: ArrayLike<number>): void;
  /** Brings all batches to an instant. Never goes back. */
  advance(now: EpochMs): Advanced;
  curve(cohort: string): CohortCurve | undefined;
  /** Steps of batches run so far. */
  work(): number;
}

interface Standing {
  batch: BatchState;
  run: BatchRun | undefined;
  /** Forecasts given out are of the present state. */
  told: boolean;
}

/** Days of readings from before the oldest standing batch that profiles and offsets may learn from. */
const daysBefore = 21;

export function createEngine(): Engine {
  const air = createAirBook();
  const standing = new Map<string, Standing>();
  let farm: Farm | undefined;
  let kindOf: ReturnType<typeof createKinds> = () => 'no farm file yet';
  let told = new Set<string>();
  let now = Number.NEGATIVE_INFINITY;
  let trimmedAt = Number.NEGATIVE_INFINITY;
  let doneWork = 0;

  const roomOf = (shelf: string | null): string =>
    shelf === null ? '' : (farm?.shelves.get(shelf)?.room ?? '');

  const runOf = (batch: BatchState): BatchRun | string => {
    const kind = kindOf(batch);
    if (typeof kind === 'string') return kind;
    const { species, strain, container } = kind;
    const prior = firstPrior(tableMeans(species, strain, container, batch.inoculation));
    return createBatchRun(batch, kind, prior, air);
  };

  /** Sends back the batches that stood where the air is now known otherwise. */
  const reopen = (): void => {
    const changed = air.takeChanged();
    if (changed.size === 0) return;
    for (const one of standing.values()) {
      if (one.run === undefined) continue;
      let from = Number.POSITIVE_INFINITY;
      for (const cohort of one.batch.cohorts)
        for (const [index, stay] of cohort.stays.entries()) {
          const step = stay.shelf === null ? undefined : changed.get(stay.shelf);
          const next = cohort.stays[index + 1];
          // The first shelf also stands for the time before the bags were placed.
          const since = index === 0 ? one.run.startStep : stepOf(stay.from);
          if (step !== undefined && (next === undefined || step < stepOf(next.from)))
            from = Math.min(from, Math.max(step, since));
        }
      if (from < one.run.step()) {
        one.run.rewind(from);
        one.told = false;
      }
    }
  };

  const forecast = (one: Standing, step: number): CohortForecast[] => {
    const { batch } = one;
    if (one.run === undefined) {
      const run = runOf(batch);
      if (typeof run === 'string') throw new Error(run);
      one.run = run;
    }
    const run = one.run;
    if (run.startStep > step) return [];
    if (one.told && run.step() >= step) return [];
    const before = run.work();
    run.advance(step);
    doneWork += run.work() - before;
    one.told = true;
    return run
      .cohorts()
      .map((cohort) => forecastOf(viewOf(run, cohort, air, roomOf(shelfAt(cohort.cohort, step)), now)));
  };

  /** Lets go of readings that nothing standing can need again. */
  const trim = (step: number): void => {
    if (step - trimmedAt < stepsPerDay) return;
    trimmedAt = step;
    let oldest = step;
    for (const { batch } of standing.values()) oldest = Math.min(oldest, stepOf(batch.madeAt));
    air.dropBefore(oldest - daysBefore * stepsPerDay);
  };

  return {
    setFarm(file) {
      farm = buildFarm(file, builtInSpecies);
      air.setFarm(farm);
      kindOf = createKinds(farm);
      for (const one of standing.values()) {
        one.run = undefined;
        one.told = false;
      }
    },

    setBatches(batches, whole = false) {
      if (whole) {
        const ids = new Set(batches.map((batch) => batch.id));
        for (const id of [...standing.keys()]) if (!ids.has(id)) standing.delete(id);
      }
      for (const batch of batches) {
        if (batch.endedAt !== null || batch.cohorts.length === 0) standing.delete(batch.id);
        else standing.set(batch.id, { batch, run: undefined, told: false });
      }
    },

    addReadings(channel, t, value) {
      for (let index = 0; index < t.length; index++) air.add(channel, t[index]!, value[index]!);
    },

    advance(to) {
      now = Math.max(now, to);
      const step = stepOf(now);
      const forecasts: CohortForecast[] = [];
      const problems = new Set<string>();
      reopen();
      for (const one of standing.values())
        try {
          forecasts.push(...forecast(one, step));
        } catch (error) {
          problems.add(messageOf(error));
        }
      const living = new Set<string>();
      for (const { batch } of standing.values()) for (const { id } of batch.cohorts) living.add(id);
      const ended = [...told].filter((id) => !living.has(id));
      told = new Set([...told].filter((id) => living.has(id)));
      for (const { cohort } of forecasts) told.add(cohort);
      trim(step);
      return { forecasts, ended, problems: [...problems] };
    },

    curve(id) {
      for (const { batch, run } of standing.values()) {
        const index = batch.cohorts.findIndex((cohort) => cohort.id === id);
        if (index < 0 || run === undefined) continue;
        const room = roomOf(shelfAt(batch.cohorts[index]!, run.step()));
        return curveOf(run, index, air, room, now);
      }
      return undefined;
    },

    work: () => doneWork,
  };
}
