import type { BatchState, Cohort } from '../../shared/batches.ts';
import { batchLeanSd, type Eye, lookError } from '../../shared/growth/look.ts';
import { spawnShareOf } from '../../shared/growth/points.ts';
import { effectiveSampleSize } from '../../shared/stats/quantiles.ts';
import type { AirBook } from './air-book.ts';
import { eventsOf, type RunEvent } from './batch-events.ts';
import { type CohortRun, freshState, nodesOf, shelfAt, slot, stepCohort } from './cohort-run.ts';
import { stepOf, stepsPerDay, stepsPerHour } from './grid.ts';
import type { Kind } from './kind.ts';
import type { Exposure } from './lineage.ts';
import { between } from './nodes.ts';
import { type Particles, particleCount, priorParticles } from './particles.ts';
import { rejuvenate } from './rejuvenate.ts';
import { drawsOf } from './seeded.ts';
import { firstSpells, likelihoodOf, type Mark, shakeAll, shareOf, slipOf } from './spells.ts';
import type { TraitPrior } from './traits.ts';

/** All that moves, at one step; the rest never changes once made. */
export interface Saved {
  step: number;
  cursor: number;
  particles: Particles;
  cohorts: Omit<CohortRun, 'cohort' | 'endStep' | 'nodes'>[];
}

/** What a run starts from. */
export interface BatchParts {
  readonly batch: BatchState;
  readonly kind: Kind;
  readonly prior: TraitPrior;
  readonly air: AirBook;
  /** How a person's looks err. */
  readonly eyeOf: (who: string) => Eye;
  readonly inherited: Exposure;
}

/** A batch on its way through time: one set of particles, and each cohort's core and thermal times. */
export interface BatchRun extends BatchParts {
  readonly startStep: number;
  particles(): Particles;
  cohorts(): readonly CohortRun[];
  /** First step not yet run. */
  step(): number;
  /** Runs all steps before `step` and what happened up to within it. Never goes back. */
  advance(step: number): void;
  /** Goes back so that `step` will be run again. */
  rewind(step: number): void;
  /**
   * The same batch told otherwise, from the last state kept before a step on: for running other pasts. All that
   * happened within or before that step must be the same in both.
   */
  fork(other: BatchState, step: number): BatchRun;
  /** Steps run so far, again ones included. */
  work(): number;
}

const endOf = ({ left }: Cohort): number => (left === undefined ? Number.POSITIVE_INFINITY : stepOf(left.t));

const savedEvery = stepsPerHour * 6;
const fineDays = 2;
/** Of the last steps each is kept. */
const keptSteps = 3;
/** A look further off than this many of its errors does not fit, whatever else it may be. */
const oddErrors = 3;
/** Effective particles below which they are drawn anew. */
const leastEffective = particleCount / 2;

/** @param from states of the same batch, oldest first; it goes on from the last */
export function createBatchRun(parts: BatchParts, from: readonly Saved[] = []): BatchRun {
  const { batch, kind, prior, air, eyeOf, inherited } = parts;
  const startStep = stepOf(batch.madeAt);
  const events = eventsOf(batch);
  const spawnShare = spawnShareOf(batch.inoculation);
  let particles = priorParticles(prior);
  let step = startStep;
  let cursor = 0;
  let work = 0;
  let saved: Saved[] = [...from];
  let cohorts: CohortRun[] = [];

  const start = (): void => {
    particles = priorParticles(prior);
    step = startStep;
    cursor = 0;
    saved = [];
    cohorts = batch.cohorts.map((cohort) => {
      const state = freshState(air.at(shelfAt(cohort, startStep), startStep).tempC);
      state[slot.memory] = inherited.memoryHours;
      // What is worked out from spells is kept by their identity: each cohort has its own.
      const spells = firstSpells(particles);
      return {
        cohort,
        endStep: endOf(cohort),
        state,
        nodes: nodesOf(state),
        spells,
        table: null,
        marks: [],
        daily: [],
        source: 'filled',
        offsetK: prior.coreOffsetK,
        probe: null,
        tauFactor: 1,
        odd: null,
      };
    });
  };

  /** Takes on new particles: each cohort's past shakes are run through with them. */
  const adopt = (next: Particles): void => {
    particles = next;
    for (const run of cohorts) {
      run.spells = firstSpells(next);
      for (const mark of run.marks)
        if (mark.kind === 'shake') run.spells = shakeAll(run.spells, next, mark.nodes);
    }
  };

  const mark = (run: CohortRun, { kind, t, judged, who, counts, id }: RunEvent): Mark => {
    const made: Mark = {
      kind,
      t,
      judged,
      who,
      eye: eyeOf(who),
      spawnShare,
      event: id,
      counts,
      nodes: run.nodes.slice(),
    };
    run.marks = [...run.marks, made];
    return made;
  };

  const look = (run: CohortRun, event: RunEvent): void => {
    const seen = mark(run, event);
    if (!event.counts) return;
    const weight = new Float64Array(particleCount);
    let total = 0;
    let slips = 0;
    let likely = 0;
    let square = 0;
    for (let i = 0; i < particleCount; i++) {
      const theta = between(run.nodes, particles.node[i]!, particles.part[i]!);
      const share = shareOf(run.spells, particles, i, theta);
      weight[i] = particles.weight[i]! * likelihoodOf(seen, share, particles.lean[i]!, particles.fullAt[i]!);
      total += weight[i]!;
      slips += weight[i]! * slipOf(seen, share, particles.lean[i]!, particles.fullAt[i]!);
      likely += particles.weight[i]! * share;
      square += particles.weight[i]! * share * share;
    }
    for (let i = 0; i < particleCount; i++) weight[i]! /= total;
    const errorSd = Math.hypot(
      lookError(likely) * Math.hypot(seen.eye.noise, batchLeanSd),
      Math.sqrt(Math.max(0, square - likely * likely)),
    );
    const isOdd = slips > total / 2 || Math.abs(event.judged - likely) > oddErrors * errorSd;
    if (event.kind === 'look') run.odd = isOdd ? { judged: event.judged, likely } : null;
    particles = { ...particles, weight };
    if (effectiveSampleSize(weight) < leastEffective) {
      const paths = cohorts.map((one) => one.marks);
      adopt(rejuvenate(particles, prior, paths, drawsOf(`${batch.id}|${event.id}`)));
    }
    for (const one of cohorts) one.table = null;
  };

  const shake = (run: CohortRun, event: RunEvent): void => {
    mark(run, event);
    run.odd = null;
    run.spells = shakeAll(run.spells, particles, run.nodes);
    run.table = null;
  };

  const happen = (upTo: number): void => {
    for (; cursor < events.length && events[cursor]!.step <= upTo; cursor++) {
      const event = events[cursor]!;
      const run = cohorts[event.cohort]!;
      if (event.kind === 'shake') shake(run, event);
      else look(run, event);
    }
  };

  const save = (): void => {
    saved.push({
      step,
      cursor,
      particles,
      cohorts: cohorts.map(
        ({ state, spells, table, marks, daily, source, offsetK, probe, tauFactor, odd }) => ({
          state: state.slice(),
          spells,
          table,
          marks,
          daily: daily.slice(),
          source,
          offsetK,
          probe,
          tauFactor,
          odd,
        }),
      ),
    });
    // Readings often come a little late, hours late seldom, days late hardly ever.
    const fine = step - fineDays * stepsPerDay;
    const keeps = (one: Saved): boolean =>
      one.step > step - keptSteps ||
      (one.step % savedEvery === 0 && (one.step >= fine || one.step % stepsPerDay === 0));
    if (step % stepsPerDay === 0) saved = saved.filter(keeps);
    else {
      const grown = saved.findIndex((one) => one.step % savedEvery !== 0);
      if (grown >= 0 && !keeps(saved[grown]!)) saved.splice(grown, 1);
    }
  };

  const restore = (last: Saved): void => {
    step = last.step;
    cursor = last.cursor;
    particles = last.particles;
    cohorts = last.cohorts.map((one, index) => {
      const state = one.state.slice();
      return {
        ...one,
        cohort: batch.cohorts[index]!,
        endStep: endOf(batch.cohorts[index]!),
        state,
        nodes: nodesOf(state),
        daily: one.daily.slice(),
      };
    });
  };

  const last = from.at(-1);
  if (last === undefined) start();
  else restore(last);
  return {
    ...parts,
    startStep,
    particles: () => particles,
    cohorts: () => cohorts,
    step: () => step,
    work: () => work,
    advance(until) {
      // The air of the first step was not yet known whole when the core's start was taken from it.
      if (step === startStep && until > startStep) start();
      for (; step < until; step++) {
        if ((step % savedEvery === 0 || step > until - keptSteps) && saved.at(-1)?.step !== step) save();
        happen(step);
        for (const run of cohorts) if (step < run.endStep) stepCohort(run, particles, kind, air, step);
        work++;
      }
      if (until >= startStep) happen(until);
    },
    rewind(to) {
      // The air of the first step is where the core starts from, even before that step is over.
      if (to <= startStep) {
        start();
        return;
      }
      if (to >= step) return;
      while (saved.length > 0 && saved.at(-1)!.step > to) saved.pop();
      const last = saved.at(-1);
      if (last === undefined) {
        start();
        return;
      }
      restore(last);
    },
    fork(other, to) {
      return createBatchRun(
        { ...parts, batch: other },
        saved.filter((one) => one.step <= to),
      );
    },
  };
}
