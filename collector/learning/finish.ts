import type { BatchState } from '../../shared/batches.ts';
import type { BatchTraits } from '../../shared/growth/belief.ts';
import type { FinishedBatch, KeptForecast, Occasion, Outcome } from '../../shared/learning.ts';
import { dayMs, type EpochMs } from '../../shared/time.ts';
import { observedReady } from './outcome.ts';

/** The forecasts that a batch is scored by, out of those kept of the bags that were seen full. */
function occasionsOf(
  batch: BatchState,
  outcome: Outcome,
  kept: readonly KeptForecast[],
): FinishedBatch['forecasts'] {
  if (outcome.kind !== 'seen') return {};
  const seen = batch.cohorts.find(({ bags }) => bags.includes(outcome.bags[0]!))!;
  const before = kept.filter(({ asOf }) => asOf < outcome.to);
  const firstFrom = (t: EpochMs | undefined) =>
    t === undefined ? undefined : before.find(({ asOf }) => asOf >= t);
  const found: Record<Occasion, KeptForecast | undefined> = {
    inoculation: before[0],
    'first-check': firstFrom(seen.checks[0]?.t),
    shaken: firstFrom(seen.shakes[0]),
    'three-days-before': before.findLast(({ asOf }) => asOf <= observedReady(outcome) - 3 * dayMs),
  };
  return Object.fromEntries(Object.entries(found).filter(([, forecast]) => forecast !== undefined));
}

/** Degree-days at an instant, straight between those kept around it; null with none on either side. */
function degreeDaysAt(kept: readonly KeptForecast[], t: EpochMs): number | null {
  const after = kept.find(({ asOf }) => asOf >= t);
  const before = kept.findLast(({ asOf }) => asOf < t);
  if (after === undefined || before === undefined) return null;
  const part = (t - before.asOf) / (after.asOf - before.asOf);
  return before.degreeDays + part * (after.degreeDays - before.degreeDays);
}

export interface Finish {
  /** With all its cohorts. */
  batch: BatchState;
  outcome: Outcome;
  species: string;
  /** What it teaches, or why it teaches nothing. */
  traits: BatchTraits | string;
  kept: readonly KeptForecast[];
  knownAt: EpochMs;
}

/** All that is put down of a batch that is finished. */
export function finishedBatchOf({ batch, outcome, species, traits, kept, knownAt }: Finish): FinishedBatch {
  const bag = outcome.kind === 'seen' ? outcome.bags[0]! : batch.cohorts[0]!.bags[0]!;
  const own = kept.filter(({ bags }) => bags.includes(bag));
  return {
    batch: batch.id,
    strain: batch.strain,
    species,
    way: batch.inoculation.way,
    generation: batch.generation,
    container: batch.container,
    madeAt: batch.madeAt,
    shakenAt: batch.cohorts.find(({ bags }) => bags.includes(bag))?.shakes[0] ?? null,
    knownAt,
    outcome,
    traits: typeof traits === 'string' ? null : traits,
    why: typeof traits === 'string' ? traits : null,
    forecasts: occasionsOf(batch, outcome, own),
    degreeDays: outcome.kind === 'seen' ? degreeDaysAt(own, observedReady(outcome)) : null,
  };
}
