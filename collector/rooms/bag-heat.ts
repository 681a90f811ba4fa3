import type { BatchState, Cohort } from '../../shared/batches.ts';
import type { TraitBelief } from '../../shared/growth/belief.ts';
import type { Eye } from '../../shared/growth/look.ts';
import { growHeatWPerKg, keepHeatWPerKg } from '../../shared/growth/own-heat.ts';
import { spawnShareOf } from '../../shared/growth/points.ts';
import { effectiveSampleSize } from '../../shared/stats/quantiles.ts';
import { type EpochMs, hourMs } from '../../shared/time.ts';
import { eventsOf, type RunEvent } from '../forecast/batch-events.ts';
import { applyCore, coreMap, coreParts } from '../forecast/core-step.ts';
import type { Kind } from '../forecast/kind.ts';
import { nodeCount } from '../forecast/nodes.ts';
import { priorParticles } from '../forecast/particles.ts';
import { firstSpells, likelihoodOf, type Spells, shakeAll, shareOf } from '../forecast/spells.ts';
import { priorOf, tableMeans } from '../forecast/traits.ts';

/** Of so many possible truths the mean is taken: heat that a room feels needs no more. */
const truths = 32;
/** Looks that leave fewer of them than this are taken more softly. */
const fewest = 6;
/** From this share on what is left to grow gives no heat worth counting. */
const grownThrough = 0.998;
const hoursPerDay = 24;
const growHeatJPerKg = 86_400 * growHeatWPerKg;

export interface HeatedBatch {
  /** With all its cohorts, those that left included. */
  batch: BatchState;
  kind: Kind;
  belief: TraitBelief;
  /** How a person's looks err. */
  eyeOf: (who: string) => Eye;
}

/** Heat of a cohort's bags together, mean of each hour from the one of its making on [W]. */
export interface CohortHeat {
  cohort: Cohort;
  /** Hours since the epoch. */
  firstHour: number;
  heatW: Float64Array;
}

export const hourOf = (t: EpochMs): number => Math.floor(t / hourMs);

/** A cohort on its way, hour by hour. */
interface Run {
  cohort: Cohort;
  hours: number;
  core: Float64Array;
  thermalDays: number;
  spells: Spells;
  /** Share of each truth at the beginning of each hour and at the end of the last. */
  shares: Float32Array;
  /** Response to the core's temperature in each hour. */
  pace: Float64Array;
}

const nodes = new Float64Array(nodeCount);

function meanShare({ shares }: Run, weight: Float64Array, hour: number): number {
  let sum = 0;
  for (let i = 0; i < truths; i++) sum += weight[i]! * shares[hour * truths + i]!;
  return sum;
}

const heatWPerKg = (share: number, grown: number, pace: number): number =>
  (growHeatJPerKg * Math.max(0, grown)) / 3600 + keepHeatWPerKg * share * pace;

/** Weights of which enough count: those given, or a root of them. */
function softened(logWeight: Float64Array): Float64Array {
  const top = logWeight.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  for (let soft = 1; ; soft /= 2) {
    const weight = logWeight.map((value) => Math.exp(soft * (value - top)));
    if (effectiveSampleSize(weight) >= fewest || soft < 0.01) {
      const total = weight.reduce((sum, one) => sum + one, 0);
      return weight.map((one) => one / total);
    }
  }
}

/**
 * Heat that a batch's bags give where they stand, from its making to the hour `until` or their leaving: growth as it
 * is believed of the strain and seen in looks, in air that is known by the hour. Coarser than a forecast, which holds
 * for days; bags are taken to give at once what they make. Pauses after each day of the batch, so that others have
 * their turn.
 * @param airC air of a shelf (null: not placed) in an hour since the epoch [°C]
 */
export function* heatOfBatch(
  { batch, kind, belief, eyeOf }: HeatedBatch,
  until: number,
  airC: (shelf: string | null, hour: number) => number,
): Generator<undefined, CohortHeat[]> {
  const { species, strain, container, thermal, response } = kind;
  const prior = priorOf(tableMeans(species, strain, container, batch.inoculation), belief);
  const particles = priorParticles(prior);
  const spawnShare = spawnShareOf(batch.inoculation);
  const stepMap = coreMap(thermal, 3600);
  const firstHour = hourOf(batch.madeAt);
  const events = eventsOf(batch);
  const logWeight = new Float64Array(truths);
  let weight = softened(logWeight);

  const runs = batch.cohorts.map((cohort): Run => {
    const last = cohort.left === undefined ? until : Math.min(until, hourOf(cohort.left.t));
    const hours = Math.max(0, last - firstHour + 1);
    return {
      ...{ cohort, hours, thermalDays: 0, spells: firstSpells(particles) },
      core: new Float64Array(coreParts).fill(airC(shelfIn(cohort, firstHour), firstHour)),
      shares: new Float32Array((hours + 1) * truths),
      pace: new Float64Array(hours),
    };
  });

  const happens = (run: Run, { kind: what, judged, who, counts }: RunEvent): void => {
    if (what === 'shake') {
      run.spells = shakeAll(run.spells, particles, nodes.fill(run.thermalDays));
      return;
    }
    if (!counts) return;
    const mark = { kind: what, judged, eye: eyeOf(who), spawnShare };
    for (let i = 0; i < truths; i++) {
      const share = shareOf(run.spells, particles, i, run.thermalDays);
      logWeight[i]! += Math.log(likelihoodOf(mark, share, particles.lean[i]!, particles.fullAt[i]!));
    }
    weight = softened(logWeight);
  };
  const goesOn = (run: Run, hour: number): void => {
    const { core, spells, shares } = run;
    const pace = response(core[coreParts - 1]! + belief.coreOffsetK.mean);
    run.pace[hour] = pace;
    run.thermalDays += pace / hoursPerDay;
    const share = meanShare(run, weight, hour);
    const next = (hour + 1) * truths;
    if (share > grownThrough) shares.copyWithin(next, next - truths, next);
    else for (let i = 0; i < truths; i++) shares[next + i] = shareOf(spells, particles, i, run.thermalDays);
    const heating = heatWPerKg(share, meanShare(run, weight, hour + 1) - share, pace);
    applyCore(stepMap, core, airC(shelfIn(run.cohort, firstHour + hour), firstHour + hour), heating);
  };

  const most = Math.max(0, ...runs.map(({ hours }) => hours));
  let next = 0;
  for (let hour = 0; hour < most; hour++) {
    for (; next < events.length && hourOf(events[next]!.t) <= firstHour + hour; next++)
      happens(runs[events[next]!.cohort]!, events[next]!);
    for (const run of runs) if (hour < run.hours) goesOn(run, hour);
    if (hour % hoursPerDay === 0) yield;
  }

  // What was seen later tells of the hours before it too.
  return runs.map((run) => {
    const massKg = container.massKg * run.cohort.bags.length;
    let share = meanShare(run, weight, 0);
    const heatW = run.pace.map((pace, hour) => {
      const before = share;
      share = meanShare(run, weight, hour + 1);
      return massKg * heatWPerKg(before, share - before, pace);
    });
    return { cohort: run.cohort, firstHour, heatW };
  });
}

/** Shelf on which bags stand in the middle of an hour; null before they are placed. */
function shelfIn(cohort: Cohort, hour: number): string | null {
  return shelfAtTime(cohort, (hour + 0.5) * hourMs);
}

/** Shelf on which bags stand at an instant; null before they are placed, and once they left. */
export function shelfAtTime({ stays, left }: Cohort, t: EpochMs): string | null {
  if (left !== undefined && left.t <= t) return null;
  return stays.findLast(({ from }) => from <= t)?.shelf ?? null;
}
