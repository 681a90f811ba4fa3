import type { Cohort } from '../../shared/batches.ts';
import type { Provenance } from '../../shared/forecasts.ts';
import { doseRate, remembered, slowedBy } from '../../shared/growth/dose.ts';
import type { AirBook } from './air-book.ts';
import { applyCore } from './core-step.ts';
import { stepDays, stepHours, stepOf, stepsPerDay } from './grid.ts';
import { type GrowthTable, growthTable, heatingAt } from './growth-table.ts';
import type { Kind } from './kind.ts';
import { middleNode, nodeCount, nodeError } from './nodes.ts';
import type { Particles } from './particles.ts';
import { type ProbedCore, stepProbe } from './probe-step.ts';
import type { Mark, Spells } from './spells.ts';

/** Numbers of a cohort's state after the core's three; thermal time at each node follows them. */
export const slot = {
  core: 2,
  degreeDays: 3,
  warmHours: 4,
  dose: 5,
  memory: 6,
  /** Worth of one node's width [K] times thermal days. */
  spread: 7,
  /** Steps in which something told the air. */
  told: 8,
} as const;
const firstNode = 9;

/** A cohort on its way through time. `state` and `nodes` are two views of one buffer. */
export interface CohortRun extends ProbedCore {
  readonly cohort: Cohort;
  /** Step in which its bags left; Infinity while they stand. */
  readonly endStep: number;
  /** Thermal days since inoculation at each temperature error. */
  nodes: Float64Array;
  spells: Spells;
  /** Made when the next step needs it: looks and shakes often come together. */
  table: GrowthTable | null;
  /** Looks and shakes so far. A look that several cohorts of a batch share is with the first of them. */
  marks: Mark[];
  /** Middle node's thermal days at the start of each day since inoculation, for dating what has passed. */
  daily: number[];
  source: Provenance;
  /** The last look, if it was more likely a slip than not or over three errors off, beside the likely share of then. */
  odd: { judged: number; likely: number } | null;
}

export const nodesOf = (state: Float64Array): Float64Array => state.subarray(firstNode);

/** State of a cohort at inoculation: a container of one temperature throughout. */
export function freshState(tempC: number): Float64Array {
  const state = new Float64Array(firstNode + nodeCount);
  state.fill(tempC, 0, 3);
  return state;
}

/** Shelf on which a cohort stands during a step; null before it is placed. */
export function shelfAt(cohort: Cohort, step: number): string | null {
  for (let index = cohort.stays.length - 1; index >= 0; index--) {
    const stay = cohort.stays[index]!;
    if (stepOf(stay.from) <= step) return stay.shelf;
  }
  return cohort.stays[0]?.shelf ?? null;
}

/** Growth that a cohort's particles have ahead on average. */
export const tableOf = (run: CohortRun, particles: Particles): GrowthTable => {
  run.table ??= growthTable(run.spells, particles, run.nodes);
  return run.table;
};

/** Moves a cohort over one step: core, dose, thermal time. */
export function stepCohort(
  run: CohortRun,
  particles: Particles,
  kind: Kind,
  air: AirBook,
  step: number,
): void {
  const { state, nodes } = run;
  const { species, response } = kind;
  if (step % stepsPerDay === 0) run.daily.push(nodes[middleNode]!);
  const shelf = shelfAt(run.cohort, step);
  const { tempC, sdK, source, told } = air.at(shelf, step);
  run.source = source;

  const heating =
    heatingAt(tableOf(run, particles), nodes[middleNode]!) * response(state[slot.core]! + run.offsetK.mean);
  const probeC = air.probe(shelf, run.cohort.batch, step);
  const probed = stepProbe(run, kind.thermal, { airC: tempC, heatingWPerKg: heating, probeC });
  if (!probed) applyCore(kind.stepMap, state, tempC, heating);
  const core = state[slot.core]! + run.offsetK.mean;

  const dose = doseRate(core, species.warmLimitC, species.heatLimitC);
  state[slot.degreeDays]! += Math.max(0, core - species.tMinC) * stepDays;
  if (core > species.warmLimitC) state[slot.warmHours]! += stepHours;
  state[slot.dose]! += dose * stepHours;
  if (dose > 0 || state[slot.memory]! > 0)
    state[slot.memory] = remembered(state[slot.memory]!, dose, stepHours);

  const days = stepDays * slowedBy(state[slot.memory]!);
  // A probe has seen what the air did to the core: its error no longer adds.
  const spread = probed ? run.offsetK.sd : Math.hypot(run.offsetK.sd, sdK);
  state[slot.spread]! += spread * days * response(core);
  if (told) state[slot.told]!++;
  for (let node = 0; node < nodeCount; node++)
    nodes[node]! += days * response(core + spread * nodeError(node));
}
