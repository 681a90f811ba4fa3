import { type BatchTraits, type TraitBelief, traitCount } from '../../shared/growth/belief.ts';
import type { BatchRun } from './batch-run.ts';
import { slot } from './cohort-run.ts';
import { timeOf } from './grid.ts';
import { middleNode } from './nodes.ts';
import { particleCount, stateDimensions, truthAt } from './particles.ts';
import { drawAnew } from './rejuvenate.ts';
import { drawsOf } from './seeded.ts';
import { follow, type Mark, slipOf } from './spells.ts';

/** Keeps a covariance of few particles positive definite. */
const leastVariance = 1e-5;

/** Mean worth of one node's width over the thermal time of all cohorts [K]. */
function meanSpreadK(run: BatchRun): number {
  let spread = 0;
  let days = 0;
  for (const { state, nodes } of run.cohorts()) {
    spread += state[slot.spread]!;
    days += nodes[middleNode]!;
  }
  return days > 0 ? spread / days : run.prior.coreOffsetK.sd;
}

/** Times the particles are drawn anew for what a batch teaches. */
const drawings = 8;

/** Many equally likely coordinates of a batch: what it teaches is told by more than a forecast needs. */
function manyDraws(run: BatchRun): Float64Array {
  const all = new Float64Array(drawings * particleCount * stateDimensions);
  const paths = run.cohorts().map(({ marks }) => marks);
  for (let drawing = 0; drawing < drawings; drawing++) {
    const draws = drawsOf(`${run.batch.id}|taught|${drawing}`);
    all.set(drawAnew(run.particles(), run.prior, paths, draws), (all.length / drawings) * drawing);
  }
  return all;
}

function posteriorOf(run: BatchRun): TraitBelief {
  const { prior } = run;
  // Nothing was seen or done: exactly what was believed before.
  if (!run.cohorts().some(({ marks }) => marks.some(({ kind, counts }) => kind !== 'shake' && counts)))
    return prior.belief;
  const z = manyDraws(run);
  const count = z.length / stateDimensions;
  const logs = new Float64Array(count * traitCount);
  const mean = new Array<number>(traitCount).fill(0);
  let warmth = 0;
  let warmthSquare = 0;
  for (let i = 0; i < count; i++) {
    const from = i * stateDimensions;
    for (let row = 0; row < traitCount; row++) {
      let log = prior.belief.mean[row]!;
      for (let column = 0; column <= row; column++)
        log += prior.root[row * traitCount + column]! * z[from + column]!;
      logs[i * traitCount + row] = log;
      mean[row]! += log / count;
    }
    warmth += z[from + traitCount]! / count;
    warmthSquare += z[from + traitCount]! ** 2 / count;
  }
  const covariance = new Array<number>(traitCount * traitCount).fill(0);
  for (let row = 0; row < traitCount; row++)
    for (let column = 0; column < traitCount; column++) {
      let sum = row === column ? leastVariance : 0;
      for (let i = 0; i < count; i++)
        sum +=
          ((logs[i * traitCount + row]! - mean[row]!) * (logs[i * traitCount + column]! - mean[column]!)) /
          count;
      covariance[row * traitCount + column] = sum;
    }
  // A probe told one bag's offset, which is no news of such batches in general.
  if (run.cohorts().some(({ probe }) => probe !== null))
    return { mean, covariance, coreOffsetK: prior.coreOffsetK };
  // A particle's warmth is the core's offset and the air's error together; this is the offset's part of it.
  const { mean: priorK, sd } = prior.coreOffsetK;
  const partK = (sd * sd) / meanSpreadK(run);
  const variance = sd * sd - partK * partK * (1 - (warmthSquare - warmth * warmth));
  return {
    mean,
    covariance,
    coreOffsetK: { mean: priorK + partK * warmth, sd: Math.sqrt(Math.max(variance, 1e-4)) },
  };
}

function looksOf(run: BatchRun): BatchTraits['looks'] {
  const { z, weight, node, part, lean, fullAt } = run.particles();
  const looks: { mark: Mark; mean: number; square: number; slip: number }[] = [];
  for (const { marks } of run.cohorts()) {
    const found = marks
      .map((mark, index) => ({ mark, index, mean: 0, square: 0, slip: 0 }))
      .filter(({ mark }) => mark.kind === 'look' && mark.counts);
    const shares = new Float64Array(marks.length);
    for (let i = 0; i < particleCount && found.length > 0; i++) {
      follow(truthAt(run.prior, z, i * stateDimensions), node[i]!, part[i]!, marks, shares);
      for (const look of found) {
        const share = shares[look.index]!;
        look.mean += weight[i]! * share;
        look.square += weight[i]! * share * share;
        look.slip += weight[i]! * slipOf(look.mark, share, lean[i]!, fullAt[i]!);
      }
    }
    looks.push(...found);
  }
  return looks
    .sort((a, b) => a.mark.t - b.mark.t)
    .map(({ mark: { event, who, t, judged }, mean, square, slip }) => ({
      event,
      who,
      t,
      judged,
      share: { mean, sd: Math.sqrt(Math.max(0, square - mean * mean)) },
      slip,
    }));
}

/** What a batch's looks and uses teach of its traits, as of the last step run. */
export function traitsOf(run: BatchRun): BatchTraits {
  const { batch, prior } = run;
  const cohorts = run.cohorts();
  const told = cohorts.reduce((sum, { state }) => sum + state[slot.told]!, 0);
  const steps = cohorts.reduce((sum, { endStep }) => sum + Math.min(endStep, run.step()) - run.startStep, 0);
  const taught = cohorts.some(({ marks }) => marks.some(({ kind, counts }) => kind !== 'shake' && counts));
  return {
    batch: batch.id,
    strain: batch.strain,
    way: batch.inoculation.way,
    container: batch.container,
    asOf: timeOf(run.step()),
    airTold: steps > 0 ? told / steps : 0,
    prior: prior.belief,
    posterior: taught ? posteriorOf(run) : prior.belief,
    looks: looksOf(run),
  };
}
