import type { BatchState } from '../../shared/batches.ts';
import { messageOf } from '../../shared/errors.ts';
import { buildFarm, type Farm } from '../../shared/farm/farm.ts';
import type { FarmFile } from '../../shared/farm/schema.ts';
import type { CohortCurve, CohortForecast, ShelfAirSeries } from '../../shared/forecasts.ts';
import type { BatchTraits, Beliefs } from '../../shared/growth/belief.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import type { ShelfAirQuestion } from '../../shared/ports.ts';
import type { EpochMs } from '../../shared/time.ts';
import { createAirBook } from './air-book.ts';
import type { BatchRun } from './batch-run.ts';
import { shelfAt } from './cohort-run.ts';
import type { ComingWarmth } from './coming.ts';
import { curveOf } from './curve.ts';
import type { RoomDepartures } from './explained-air.ts';
import { stepOf, stepsPerDay } from './grid.ts';
import { traitsOf } from './learned.ts';
import { ancestorsOf, withAncestors } from './lineage.ts';
import { explainedAt, whatMoved } from './moved.ts';
import { type HourAt, hourIn, movedWords } from './moved-words.ts';
import { createRunMaker } from './run-maker.ts';
import { shelfAirOf } from './shelf-air-series.ts';
import { type Standing, standingOf, stands, workAgain } from './standing.ts';
import { forecastOf } from './summary.ts';
import { everTouchedAt, touchOf } from './touched.ts';
import { stepAt, turnOf } from './turn.ts';
import { viewOf } from './view.ts';
import { apartFrom } from './went-on.ts';

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
  /**
   * What is believed of batches before anyone looked, and of people's eyes; replaces all that was believed.
   * Batches of what is believed otherwise now are worked out again from their making.
   */
  setBeliefs(beliefs: Beliefs): void;
  /** Warmth that hot loads are to bring, all of it; forecasts count on it from their next step on. */
  setComing(coming: readonly ComingWarmth[]): void;
  /** What a room's model says of its departures from its usual day; see `AirBook.setDepartures`. */
  setDepartures(departures: RoomDepartures): void;
  /**
   * Takes in batches as they are now; `whole` says that there are no others. Cohorts that left may be among
   * theirs (`deriveBatch` with 'all'): what was seen of them counts, and they get no forecast. Batches that ended
   * may be among them, for those that were poured from them (`withAncestors`).
   */
  setBatches(batches: readonly BatchState[], whole?: boolean): void;
  /**
   * Good readings of one channel [°C], in any order, each once; or means of `count` readings each. With `byHand`
   * they were estimated from a minimum and maximum that somebody wrote down.
   */
  addReadings(
    channel: string,
    t: ArrayLike<EpochMs>,
    value: ArrayLike<number>,
    count?: ArrayLike<number>,
    byHand?: boolean,
  ): void;
  /** Brings all batches to an instant. Never goes back. */
  advance(now: EpochMs): Advanced;
  curve(cohort: string): CohortCurve | undefined;
  /** Air at a shelf up to the last instant advanced to, and what is expected after it. */
  shelfAir(question: ShelfAirQuestion): ShelfAirSeries | undefined;
  /**
   * What the looks at a batch teach of its traits, up to the last `advance` or to its end. The batch need not
   * stand: give it with all its cohorts, soon after its end, while its air is kept (see `airTold`).
   * @returns why not, in words
   */
  traits(batch: BatchState): BatchTraits | string;
  /** Steps of batches run so far. */
  work(): number;
}

/** Days of readings from before the oldest standing batch that profiles and offsets may learn from. */
const daysBefore = 21;

/** @param explain false leaves out what moved each forecast, where nobody reads it */
export function createEngine({ explain = true } = {}): Engine {
  const air = createAirBook();
  const standing = new Map<string, Standing>();
  /** Batches that ended, while some that stand descend from them or may be about to, and how far they had come. */
  const past = new Map<string, { batch: BatchState; run: BatchRun | undefined }>();
  let farm: Farm | undefined;
  let hourAt: HourAt = hourIn('UTC');
  let told = new Set<string>();
  let now = Number.NEGATIVE_INFINITY;
  let trimmedAt = Number.NEGATIVE_INFINITY;
  let doneWork = 0;

  const roomOf = (shelf: string | null): string =>
    shelf === null ? '' : (farm?.shelves.get(shelf)?.room ?? '');

  const known = (id: string): BatchState | undefined => (standing.get(id) ?? past.get(id))?.batch;
  const maker = createRunMaker({ air, known });

  /** The run of a batch that was told anew, gone back to where the tellings part; undefined without one to keep. */
  const wentOn = (batch: BatchState): BatchRun | undefined => {
    const before = standing.get(batch.id);
    if (before?.run === undefined) return undefined;
    const apart = apartFrom(before.batch, batch);
    return apart === Number.NEGATIVE_INFINITY ? undefined : before.run.fork(batch, stepOf(apart) - 1);
  };

  /** Sends back the batches that stood where the air is now known otherwise. */
  const reopen = (): void => {
    const changed = air.takeChanged();
    if (changed.size === 0) return;
    for (const one of past.values())
      if (one.run !== undefined && everTouchedAt(one.batch, changed) < one.run.step()) one.run = undefined;
    for (const one of standing.values()) {
      if (one.run === undefined) continue;
      const poured = stepOf(one.batch.madeAt);
      if (ancestorsOf(one.batch, known).some((parent) => everTouchedAt(parent, changed) < poured)) {
        maker.forgetExposures();
        workAgain(one);
        continue;
      }
      const touch = touchOf(one.batch, one.run.startStep, changed);
      if (touch.air < one.run.step() || touch.air <= one.run.startStep) one.run.rewind(touch.air);
      if (touch.news === Number.POSITIVE_INFINITY) continue;
      one.told = false;
      for (const [id, { at }] of one.moved) if (at > touch.news) one.moved.delete(id);
    }
  };

  const forecast = (one: Standing, step: number): CohortForecast[] => {
    const { batch } = one;
    if (one.run === undefined) {
      const run = maker.runOf(batch);
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
    return run.cohorts().flatMap((cohort, index) => {
      if (cohort.endStep !== Number.POSITIVE_INFINITY) return [];
      const moved = movedOf(one, run, index);
      return forecastOf(viewOf(run, cohort, air, roomOf(shelfAt(cohort.cohort, step)), now), moved);
    });
  };

  /** What moved a cohort's forecast lately, in words; looked into once a day and at each event. */
  const movedOf = (one: Standing, run: BatchRun, index: number): string | undefined => {
    if (!explain) return undefined;
    const cohort = one.batch.cohorts[index]!;
    const at = explainedAt(run, index, run.step());
    const found = one.moved.get(cohort.id);
    if (found?.at === at) return found.words;
    const moved = whatMoved(run, index, air, roomOf(shelfAt(cohort, at)), at);
    const words = moved && movedWords(moved, hourAt);
    one.moved.set(cohort.id, { at, words });
    return words;
  };

  /** Lets go of readings that nothing standing can need again. */
  const trim = (step: number): void => {
    if (step - trimmedAt < stepsPerDay) return;
    trimmedAt = step;
    let oldest = step;
    const kept = withAncestors(
      [...standing.values()].map(({ batch }) => batch),
      known,
    );
    for (const batch of kept) oldest = Math.min(oldest, stepOf(batch.madeAt));
    const needed = new Set(kept.map(({ id }) => id));
    for (const [id, { batch }] of past)
      if (!needed.has(id) && step - stepOf(batch.endedAt ?? 0) > stepsPerDay) past.delete(id);
    maker.forgetExposures();
    air.dropBefore(oldest - daysBefore * stepsPerDay);
  };

  return {
    setFarm(file) {
      farm = buildFarm(file, builtInSpecies);
      hourAt = hourIn(file.site.timeZone);
      air.setFarm(farm);
      maker.setFarm(farm);
      for (const one of standing.values()) workAgain(one);
      for (const one of past.values()) one.run = undefined;
    },

    setComing: air.setComing,
    setDepartures: air.setDepartures,

    setBeliefs(next) {
      maker.setBeliefs(next);
      for (const one of standing.values()) {
        const believed = maker.believedOf(one.batch);
        if (believed === one.believed) continue;
        workAgain(one);
        one.believed = believed;
      }
      for (const one of past.values()) one.run = undefined;
    },

    setBatches(batches, whole = false) {
      if (whole) {
        const ids = new Set(batches.map((batch) => batch.id));
        for (const id of [...standing.keys()]) if (!ids.has(id)) standing.delete(id);
        past.clear();
      }
      const news = new Set(batches.map(({ id }) => id));
      for (const batch of batches) {
        const was = known(batch.id);
        if (was?.endedAt === batch.endedAt && apartFrom(was, batch) === Number.POSITIVE_INFINITY) {
          news.delete(batch.id);
          const one = standing.get(batch.id);
          if (one !== undefined) Object.assign(one, { batch, told: false });
          else past.get(batch.id)!.batch = batch;
          continue;
        }
        const run = wentOn(batch);
        if (batch.cohorts.length > 0 && !stands(batch)) past.set(batch.id, { batch, run });
        if (!stands(batch)) standing.delete(batch.id);
        else standing.set(batch.id, standingOf(batch, maker.believedOf(batch), run));
      }
      maker.forgetExposures();
      // What a parent's record says of its heat may have changed.
      for (const one of standing.values())
        if (ancestorsOf(one.batch, known).some(({ id }) => news.has(id))) workAgain(one);
    },

    addReadings(channel, t, value, count, byHand = false) {
      for (let index = 0; index < t.length; index++)
        air.add(channel, t[index]!, value[index]!, count?.[index] ?? 1, byHand);
    },

    advance(to) {
      now = Math.max(now, to);
      const step = stepOf(now);
      const forecasts: CohortForecast[] = [];
      const problems = new Set<string>();
      reopen();
      for (const one of standing.values())
        try {
          forecasts.push(...forecast(one, stepAt(one.turn, now)));
        } catch (error) {
          problems.add(messageOf(error));
        }
      const living = new Set<string>();
      for (const { batch } of standing.values())
        for (const { id, left } of batch.cohorts) if (left === undefined) living.add(id);
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

    traits(batch) {
      const last = Math.min(stepAt(turnOf(batch), now), stepOf(batch.endedAt ?? now));
      const kept = standing.get(batch.id);
      if (kept?.batch === batch && kept.run?.step() === last) return traitsOf(kept.run);
      if (batch.cohorts.length === 0) return `batch ${batch.id} has no cohorts`;
      const ended = past.get(batch.id);
      const run = (ended?.batch === batch ? ended.run : undefined) ?? maker.runOf(batch);
      if (typeof run === 'string') return run;
      run.advance(last);
      return traitsOf(run);
    },

    shelfAir: (question) => (farm?.shelves.has(question.shelf) ? shelfAirOf(air, question, now) : undefined),

    work: () => doneWork,
  };
}
