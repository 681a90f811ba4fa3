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
import { type BatchRun, createBatchRun } from './batch-run.ts';
import { createBeliefBook } from './belief-book.ts';
import { shelfAt } from './cohort-run.ts';
import { curveOf } from './curve.ts';
import { stepOf, stepsPerDay } from './grid.ts';
import { createKinds } from './kind.ts';
import { traitsOf } from './learned.ts';
import { ancestorsOf, type Exposure, farthest, handedDown, unexposed, withAncestors } from './lineage.ts';
import { explainedAt, whatMoved } from './moved.ts';
import { type HourAt, hourIn, movedWords } from './moved-words.ts';
import { shelfAirOf } from './shelf-air-series.ts';
import { forecastOf } from './summary.ts';
import { priorOf, tableMeans } from './traits.ts';
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
  /**
   * What is believed of batches before anyone looked, and of people's eyes; replaces all that was believed.
   * Batches of what is believed otherwise now are worked out again from their making.
   */
  setBeliefs(beliefs: Beliefs): void;
  /**
   * Takes in batches as they are now; `whole` says that there are no others. Cohorts that left may be among
   * theirs (`deriveBatch` with 'all'): what was seen of them counts, and they get no forecast. Batches that ended
   * may be among them, for those that were poured from them (`withAncestors`).
   */
  setBatches(batches: readonly BatchState[], whole?: boolean): void;
  /** Good readings of one channel [°C], in any order, each once; or means of `count` readings each. */
  addReadings(
    channel: string,
    t: ArrayLike<EpochMs>,
    value: ArrayLike<number>,
    count?: ArrayLike<number>,
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

interface Standing {
  batch: BatchState;
  believed: string;
  run: BatchRun | undefined;
  /** Forecasts given out are of the present state. */
  told: boolean;
  /** By cohort, what moved its forecast, and up to which step that was looked into. */
  moved: Map<string, { at: number; words: string | undefined }>;
}

const fresh = (): Pick<Standing, 'run' | 'told' | 'moved'> => ({
  run: undefined,
  told: false,
  moved: new Map(),
});

const stands = ({ endedAt, cohorts }: BatchState): boolean =>
  endedAt === null && cohorts.some(({ left }) => left === undefined);

/** Days of readings from before the oldest standing batch that profiles and offsets may learn from. */
const daysBefore = 21;

export function createEngine(): Engine {
  const air = createAirBook();
  const standing = new Map<string, Standing>();
  /** Batches that ended, while some that stand descend from them or may be about to. */
  const past = new Map<string, BatchState>();
  const exposures = new Map<string, Exposure>();
  let farm: Farm | undefined;
  let hourAt: HourAt = hourIn('UTC');
  let kindOf: ReturnType<typeof createKinds> = () => 'no farm file yet';
  let beliefs = createBeliefBook({ strains: [], people: [] });
  let told = new Set<string>();
  let now = Number.NEGATIVE_INFINITY;
  let trimmedAt = Number.NEGATIVE_INFINITY;
  let doneWork = 0;

  const roomOf = (shelf: string | null): string =>
    shelf === null ? '' : (farm?.shelves.get(shelf)?.room ?? '');

  const known = (id: string): BatchState | undefined => standing.get(id)?.batch ?? past.get(id);

  /** Heat that a batch was poured with. */
  const inheritedBy = (batch: BatchState, depth: number): Exposure => {
    const parent = batch.parent === null ? undefined : known(batch.parent.batch);
    if (parent === undefined || depth === 0) return unexposed;
    const key = `${parent.id}|${batch.parent?.bag ?? ''}|${stepOf(batch.madeAt)}`;
    const found = exposures.get(key);
    if (found !== undefined) return found;
    const run = runOf(parent, depth - 1);
    if (typeof run === 'string') return unexposed;
    const exposure = handedDown(run, batch);
    exposures.set(key, exposure);
    return exposure;
  };

  const runOf = (batch: BatchState, depth = farthest): BatchRun | string => {
    const kind = kindOf(batch);
    if (typeof kind === 'string') return kind;
    const { species, strain, container } = kind;
    const table = tableMeans(species, strain, container, batch.inoculation);
    const prior = priorOf(table, beliefs.beliefOf(batch), beliefs.shakeChanceOf(batch));
    const inherited = inheritedBy(batch, depth);
    return createBatchRun({ batch, kind, prior, air, eyeOf: beliefs.eyeOf, inherited });
  };

  /** Sends back the batches that stood where the air is now known otherwise. */
  const reopen = (): void => {
    const changed = air.takeChanged();
    if (changed.size === 0) return;
    const touchedAt = ({ cohorts }: BatchState): number =>
      Math.min(
        ...cohorts.flatMap(({ stays }) =>
          stays.map(({ shelf }) => changed.get(shelf ?? '') ?? Number.POSITIVE_INFINITY),
        ),
      );
    for (const one of standing.values()) {
      if (one.run === undefined) continue;
      const poured = stepOf(one.batch.madeAt);
      if (ancestorsOf(one.batch, known).some((parent) => touchedAt(parent) < poured)) {
        exposures.clear();
        Object.assign(one, fresh());
        continue;
      }
      let from = Number.POSITIVE_INFINITY;
      let touched = false;
      for (const cohort of one.batch.cohorts)
        for (const [index, stay] of cohort.stays.entries()) {
          const step = stay.shelf === null ? undefined : changed.get(stay.shelf);
          const next = cohort.stays[index + 1];
          // The first shelf also stands for the time before the bags were placed.
          const since = index === 0 ? one.run.startStep : stepOf(stay.from);
          if (step === undefined || (next !== undefined && step >= stepOf(next.from))) continue;
          touched = true;
          from = Math.min(from, Math.max(step, since));
        }
      if (from < one.run.step() || from <= one.run.startStep) one.run.rewind(from);
      if (touched) Object.assign(one, { told: false, moved: new Map() });
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
    return run.cohorts().flatMap((cohort, index) => {
      if (cohort.endStep !== Number.POSITIVE_INFINITY) return [];
      const moved = movedOf(one, run, index);
      return forecastOf(viewOf(run, cohort, air, roomOf(shelfAt(cohort.cohort, step)), now), moved);
    });
  };

  /** What moved a cohort's forecast lately, in words; looked into once a day and at each event. */
  const movedOf = (one: Standing, run: BatchRun, index: number): string | undefined => {
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
    for (const { id, endedAt } of past.values())
      if (!needed.has(id) && step - stepOf(endedAt ?? 0) > stepsPerDay) past.delete(id);
    exposures.clear();
    air.dropBefore(oldest - daysBefore * stepsPerDay);
  };

  return {
    setFarm(file) {
      farm = buildFarm(file, builtInSpecies);
      hourAt = hourIn(file.site.timeZone);
      air.setFarm(farm);
      kindOf = createKinds(farm);
      for (const one of standing.values()) {
        Object.assign(one, fresh());
      }
    },

    setBeliefs(next) {
      beliefs = createBeliefBook(next);
      for (const one of standing.values()) {
        const believed = beliefs.versionFor(one.batch);
        if (believed === one.believed) continue;
        Object.assign(one, fresh(), { believed });
      }
    },

    setBatches(batches, whole = false) {
      if (whole) {
        const ids = new Set(batches.map((batch) => batch.id));
        for (const id of [...standing.keys()]) if (!ids.has(id)) standing.delete(id);
        past.clear();
      }
      const news = new Set(batches.map(({ id }) => id));
      for (const batch of batches) {
        if (batch.cohorts.length > 0 && !stands(batch)) past.set(batch.id, batch);
        if (!stands(batch)) standing.delete(batch.id);
        else
          standing.set(batch.id, {
            batch,
            believed: beliefs.versionFor(batch),
            ...fresh(),
          });
      }
      exposures.clear();
      // What a parent's record says of its heat may have changed.
      for (const one of standing.values())
        if (ancestorsOf(one.batch, known).some(({ id }) => news.has(id))) Object.assign(one, fresh());
    },

    addReadings(channel, t, value, count) {
      for (let index = 0; index < t.length; index++)
        air.add(channel, t[index]!, value[index]!, count?.[index] ?? 1);
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
      const last = stepOf(Math.min(now, batch.endedAt ?? now));
      const kept = standing.get(batch.id);
      if (kept?.batch === batch && kept.run?.step() === last) return traitsOf(kept.run);
      if (batch.cohorts.length === 0) return `batch ${batch.id} has no cohorts`;
      const run = runOf(batch);
      if (typeof run === 'string') return run;
      run.advance(last);
      return traitsOf(run);
    },

    shelfAir: (question) => (farm?.shelves.has(question.shelf) ? shelfAirOf(air, question, now) : undefined),

    work: () => doneWork,
  };
}
