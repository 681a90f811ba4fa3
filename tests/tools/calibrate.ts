import { createAirBook } from '../../collector/forecast/air-book.ts';
import { type BatchRun, createBatchRun } from '../../collector/forecast/batch-run.ts';
import { stepOf } from '../../collector/forecast/grid.ts';
import { createKinds } from '../../collector/forecast/kind.ts';
import { unexposed } from '../../collector/forecast/lineage.ts';
import { nodePlace } from '../../collector/forecast/nodes.ts';
import { particleCount, stateDimensions, type Truth, truthAt } from '../../collector/forecast/particles.ts';
import { drawsOf } from '../../collector/forecast/seeded.ts';
import { follow, type Mark } from '../../collector/forecast/spells.ts';
import { priorOf, tableMeans } from '../../collector/forecast/traits.ts';
import type { BatchState } from '../../shared/batches.ts';
import { buildFarm } from '../../shared/farm/farm.ts';
import { firstBelief } from '../../shared/growth/belief.ts';
import { judge, unknownEye } from '../../shared/growth/look.ts';
import { coverageFor } from '../../shared/growth/overlap.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import { weightedQuantile } from '../../shared/stats/quantiles.ts';
import { at, batchOf, farm as file, readings } from '../unit/forecast/farm.ts';
import { chiSquare, chiSquareTail } from './chi-square.ts';

const farm = buildFarm(file, builtInSpecies);
const kindOf = createKinds(farm);
const air = createAirBook();
air.setFarm(farm);
{
  const { t, value } = readings(-3, 25, (day) => 23.5 + Math.sin(2 * Math.PI * day));
  t.forEach((one, index) => {
    air.add('on-a1.temperature', one, value[index]!);
  });
}

function runOf(batch: BatchState): BatchRun {
  const kind = kindOf(batch);
  if (typeof kind === 'string') throw new Error(kind);
  const table = tableMeans(kind.species, kind.strain, kind.container, batch.inoculation);
  return createBatchRun({
    batch,
    kind,
    prior: priorOf(table, firstBelief),
    air,
    eyeOf: () => unknownEye,
    inherited: unexposed,
  });
}

/** What is known of a batch whose truth was drawn from what is believed. */
interface Simulated {
  run: BatchRun;
  truth: Truth;
  looks: [day: number, share: number][];
  lastDay: number;
}

const placeOf = (truth: Truth) => {
  const place = nodePlace(truth.warmth);
  return { node: Math.floor(place), part: place - Math.floor(place) };
};

/** True share at an instant of a run. */
function shareThen(run: BatchRun, truth: Truth): number {
  const { marks, nodes } = run.cohorts()[0]!;
  const now: Mark = {
    kind: 'look',
    t: 0,
    judged: 0,
    who: '',
    eye: unknownEye,
    spawnShare: 0,
    event: '',
    counts: true,
    nodes: nodes.slice(),
  };
  const { node, part } = placeOf(truth);
  const shares = new Float64Array(marks.length + 1);
  follow(truth, node, part, [...marks, now], shares);
  return shares[marks.length]!;
}

/** Draws a truth from the prior, lets it grow in the model's own air and warmth, and looks at it. */
function simulate(seed: string, lookDays: readonly number[], shakeDay: number | null): Simulated {
  const draws = drawsOf(seed);
  // The first numbers of seeds that differ by little are not even over the seeds: 600 of them fail a chi-square.
  for (let skipped = 0; skipped < 16; skipped++) draws.even();
  const z = Float64Array.from({ length: stateDimensions }, () => draws.normal());
  const shakes = shakeDay === null ? [] : [shakeDay];
  const looks: [number, number][] = [];
  for (const day of lookDays) {
    const until = runOf(batchOf({ checks: looks, shakes: shakes.filter((one) => one < day) }));
    until.advance(stepOf(at(day)));
    const truth = truthAt(until.prior, z, 0);
    const share = shareThen(until, truth);
    const look = { slip: draws.even(), full: draws.even(), said: draws.even() };
    looks.push([day, judge(share, look, unknownEye, truth.lean, truth.fullAt)]);
  }
  const lastDay = lookDays.at(-1)! + 0.1;
  const run = runOf(batchOf({ checks: looks, shakes }));
  run.advance(stepOf(at(lastDay)));
  return { run, truth: truthAt(run.prior, z, 0), looks, lastDay };
}

/** Thermal day on which an untouched truth fills: what a forecast is about. */
const fillsAt = ({
  rate,
  lag,
  points,
  evenness,
  fullAt,
}: Pick<Truth, 'rate' | 'lag' | 'points' | 'evenness' | 'fullAt'>): number =>
  lag + (10 * Math.cbrt(coverageFor(fullAt, evenness) / ((4 / 3) * Math.PI * points))) / rate;

/** Likely day on which the untouched batch fills, in thermal days. */
function likelyFill(run: BatchRun): number {
  const { z, weight } = run.particles();
  const values = Array.from({ length: particleCount }, (_, i) =>
    fillsAt(truthAt(run.prior, z, i * stateDimensions)),
  );
  return weightedQuantile({ values, weights: weight }, 0.5);
}

/** Thermal days by which the likely fill moves when one look in every ten is any share at all. */
export function movedByWild(seed: string, days: readonly number[]): number {
  const simulated = simulate(seed, days, null);
  const draws = drawsOf(`${seed} wild`);
  const tens = Array.from(
    { length: Math.ceil(days.length / 10) },
    () => [draws.even(), draws.even()] as const,
  );
  const looks = simulated.looks.map(([day, share], index): [number, number] => {
    const [which, anything] = tens[Math.floor(index / 10)]!;
    return [day, index % 10 === Math.floor(10 * which) ? anything : share];
  });
  const run = runOf(batchOf({ checks: looks }));
  run.advance(stepOf(at(simulated.lastDay)));
  return Math.abs(likelyFill(run) - likelyFill(simulated.run));
}

/** Share of the belief below the truth, for each quantity: even over [0, 1] if beliefs are honest. */
function ranks({ run, truth }: Simulated): Record<string, number> {
  const particles = run.particles();
  const truths = Array.from({ length: particleCount }, (_, i) =>
    truthAt(run.prior, particles.z, i * stateDimensions),
  );
  const quantities: Record<string, (one: Truth) => number> = {
    rate: (one) => one.rate,
    lag: (one) => one.lag,
    points: (one) => one.points,
    evenness: (one) => one.evenness,
    recovery: (one) => one.recovery,
    shakenEvenness: (one) => one.shakenEvenness,
    fullAt: (one) => one.fullAt,
    warmth: (one) => one.warmth,
    lean: (one) => one.lean,
    fills: fillsAt,
  };
  return Object.fromEntries(
    Object.entries(quantities).map(([name, of]) => {
      const value = of(truth);
      let below = 0;
      truths.forEach((one, i) => {
        const other = of(one);
        below += particles.weight[i]! * (other < value ? 1 : other === value ? 0.5 : 0);
      });
      return [name, Math.min(below, 1 - 1e-12)];
    }),
  );
}

/** How even the truth's ranks are over so many simulated batches, for each quantity. */
export function calibration(count: number, bins: number): { quantity: string; p: number }[] {
  const found = new Map<string, number[]>();
  for (let i = 0; i < count; i++) {
    // Half of them shaken, half seen three times only.
    const simulated =
      i % 2 === 1 ? simulate(`cal ${i}`, [4, 6, 8, 10], 6.1) : simulate(`cal ${i}`, [5.5, 8, 11], null);
    for (const [quantity, rank] of Object.entries(ranks(simulated)))
      found.set(quantity, [...(found.get(quantity) ?? []), rank]);
  }
  return [...found].map(([quantity, values]) => ({
    quantity,
    p: chiSquareTail(chiSquare(values, bins), bins - 1),
  }));
}
