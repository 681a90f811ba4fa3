import { nodePlace } from './nodes.ts';
import { type Particles, particleCount, particlesAt, stateDimensions, truthAt } from './particles.ts';
import type { Draws } from './seeded.ts';
import { follow, likelihoodOf, type Mark } from './spells.ts';
import type { TraitPrior } from './traits.ts';

const rounds = 6;
const d = stateDimensions;

/** Room for the shares at so many marks of a cohort, kept from call to call. */
let shares = new Float64Array(64);

/** Log likelihood of all looks at the cohorts of a batch, for the truth whose coordinates begin at `offset`. */
function logLikelihood(
  prior: TraitPrior,
  z: Float64Array,
  offset: number,
  paths: readonly (readonly Mark[])[],
): number {
  const truth = truthAt(prior, z, offset);
  const place = nodePlace(truth.warmth);
  const node = Math.floor(place);
  let sum = 0;
  for (const marks of paths) {
    if (marks.length === 0) continue;
    if (marks.length > shares.length) shares = new Float64Array(2 * marks.length);
    follow(truth, node, place - node, marks, shares);
    for (let index = 0; index < marks.length; index++) {
      const mark = marks[index]!;
      if (mark.kind !== 'shake' && mark.counts)
        sum += Math.log(likelihoodOf(mark, shares[index]!, truth.lean, truth.fullAt));
    }
  }
  return sum;
}

/** Systematic resampling: each particle is drawn as often as its weight says, give or take one. */
function resample({ z, weight }: Pick<Particles, 'z' | 'weight'>, draws: Draws): Float64Array {
  const next = new Float64Array(z.length);
  const start = draws.even() / particleCount;
  let from = 0;
  let reached = weight[0]!;
  for (let i = 0; i < particleCount; i++) {
    const wanted = start + i / particleCount;
    while (reached < wanted && from < particleCount - 1) reached += weight[++from]!;
    next.set(z.subarray(from * d, from * d + d), i * d);
  }
  return next;
}

/** Lower Cholesky root of the particles' own covariance, a little widened so that it always exists. */
function spreadRoot(z: Float64Array): Float64Array {
  const mean = new Float64Array(d);
  for (let i = 0; i < z.length; i++) mean[i % d]! += z[i]! / particleCount;
  const root = new Float64Array(d * d);
  for (let row = 0; row < d; row++)
    for (let column = 0; column <= row; column++) {
      let sum = row === column ? 1e-4 : 0;
      for (let i = 0; i < particleCount; i++)
        sum += ((z[i * d + row]! - mean[row]!) * (z[i * d + column]! - mean[column]!)) / particleCount;
      for (let k = 0; k < column; k++) sum -= root[row * d + k]! * root[column * d + k]!;
      root[row * d + column] =
        row === column ? Math.sqrt(Math.max(sum, 1e-6)) : sum / root[column * d + column]!;
    }
  return root;
}

/**
 * Draws the particles anew by weight and moves each by Metropolis-Hastings steps towards the same posterior,
 * so that copies part again without blurring it (resample-move; Gilks & Berzuini 2001, JRSS B 63:127-146).
 */
export function rejuvenate(
  particles: Particles,
  prior: TraitPrior,
  paths: readonly (readonly Mark[])[],
  draws: Draws,
): Particles {
  const z = drawAnew(particles, prior, paths, draws);
  return particlesAt(prior, z, new Float64Array(particleCount).fill(1 / particleCount));
}

/** Coordinates of as many particles, equally likely, drawn and moved as `rejuvenate` does. */
export function drawAnew(
  particles: Pick<Particles, 'z' | 'weight'>,
  prior: TraitPrior,
  paths: readonly (readonly Mark[])[],
  draws: Draws,
): Float64Array {
  const z = resample(particles, draws);
  const root = spreadRoot(z);
  const fit = new Float64Array(particleCount);
  for (let i = 0; i < particleCount; i++) fit[i] = logLikelihood(prior, z, i * d, paths);

  const step = new Float64Array(d);
  const proposal = new Float64Array(d);
  for (let round = 0; round < rounds; round++) {
    // Long and short moves in turn: the posterior is a bent ridge, not a ball.
    const scale = (2.38 / Math.sqrt(d)) * (round % 3 === 0 ? 1 : round % 3 === 1 ? 0.5 : 0.2);
    for (let i = 0; i < particleCount; i++) {
      const at = i * d;
      for (let k = 0; k < d; k++) step[k] = draws.normal();
      let ratio = 0;
      for (let row = 0; row < d; row++) {
        let value = z[at + row]!;
        for (let column = 0; column <= row; column++)
          value += scale * root[row * d + column]! * step[column]!;
        proposal[row] = value;
        ratio += (z[at + row]! ** 2 - value ** 2) / 2;
      }
      const newFit = logLikelihood(prior, proposal, 0, paths);
      if (Math.log(draws.even()) < ratio + newFit - fit[i]!) {
        z.set(proposal, at);
        fit[i] = newFit;
      }
    }
  }
  return z;
}
