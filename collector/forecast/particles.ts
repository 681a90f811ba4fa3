import { traitCount } from '../../shared/growth/belief.ts';
import { normalQuantile } from '../../shared/stats/normal.ts';
import { sobolPoints } from '../../shared/stats/sobol.ts';
import { nodePlace } from './nodes.ts';
import type { TraitPrior } from './traits.ts';

const particleBits = 8;
export const particleCount = 2 ** particleBits;

/** Standard normal coordinates of a particle: its traits, its temperature error, how looks at it err together. */
export const stateDimensions = traitCount + 2;
const drawDimensions = stateDimensions + 1;
/** Coordinate of the draws that each of a particle's own comes from; the one left out is the future's. */
const futureDimension = traitCount + 1;
const drawOf = (dimension: number): number => (dimension < futureDimension ? dimension : dimension + 1);

const draws = sobolPoints(particleBits, drawDimensions).map(normalQuantile);

/** How warm the future of each particle turns out, in standard deviations; the same for all cohorts of a room. */
export const futureDraws = Float64Array.from(
  { length: particleCount },
  (_, i) => draws[i * drawDimensions + futureDimension]!,
);

/** Possible truths about a batch, with what each means. Never changed once made: a look makes new ones. */
export interface Particles {
  /** Standard normal coordinates, `stateDimensions` to a particle. */
  readonly z: Float64Array;
  /** Add up to 1. */
  readonly weight: Float64Array;
  readonly rate: Float64Array;
  readonly lag: Float64Array;
  readonly points: Float64Array;
  readonly evenness: Float64Array;
  readonly recovery: Float64Array;
  readonly shakenPoints: Float64Array;
  readonly shakenEvenness: Float64Array;
  /** Share from which people call it full. */
  readonly fullAt: Float64Array;
  /** How far all looks at the batch err together [sd]. */
  readonly lean: Float64Array;
  /** Where its temperature error lies among the nodes: index of the lower node, and the part beyond it. */
  readonly node: Uint8Array;
  readonly part: Float64Array;
}

/** Traits of one particle from its coordinates. */
export interface Truth {
  rate: number;
  lag: number;
  points: number;
  evenness: number;
  recovery: number;
  shakenPoints: number;
  shakenEvenness: number;
  /** Share from which people call it full. */
  fullAt: number;
  /** Temperature error [sd]. */
  warmth: number;
  /** How far all looks at the batch err together [sd]. */
  lean: number;
}

/** Nobody calls a bag full of which more than this is bare. */
const mostLeftBare = 0.3;

const logs = new Float64Array(traitCount);

/** Traits of the particle whose coordinates begin at `offset` of `z`. */
export function truthAt({ mean, root }: TraitPrior, z: Float64Array, offset: number): Truth {
  for (let row = 0; row < traitCount; row++) {
    let sum = mean[row]!;
    const from = row * traitCount;
    for (let column = 0; column <= row; column++) sum += root[from + column]! * z[offset + column]!;
    logs[row] = sum;
  }
  return {
    rate: Math.exp(logs[0]!),
    lag: Math.exp(logs[1]!),
    points: Math.exp(logs[2]!),
    evenness: Math.exp(logs[3]!),
    recovery: Math.exp(logs[4]!),
    shakenPoints: Math.exp(logs[5]!),
    shakenEvenness: Math.exp(logs[6]!),
    fullAt: 1 - Math.min(mostLeftBare, Math.exp(logs[7]!)),
    warmth: z[offset + traitCount]!,
    lean: z[offset + traitCount + 1]!,
  };
}

/** Particles at given coordinates. */
export function particlesAt(prior: TraitPrior, z: Float64Array, weight: Float64Array): Particles {
  const rate = new Float64Array(particleCount);
  const lag = new Float64Array(particleCount);
  const points = new Float64Array(particleCount);
  const evenness = new Float64Array(particleCount);
  const recovery = new Float64Array(particleCount);
  const shakenPoints = new Float64Array(particleCount);
  const shakenEvenness = new Float64Array(particleCount);
  const fullAt = new Float64Array(particleCount);
  const lean = new Float64Array(particleCount);
  const part = new Float64Array(particleCount);
  const node = new Uint8Array(particleCount);
  for (let i = 0; i < particleCount; i++) {
    const truth = truthAt(prior, z, i * stateDimensions);
    rate[i] = truth.rate;
    lag[i] = truth.lag;
    points[i] = truth.points;
    evenness[i] = truth.evenness;
    recovery[i] = truth.recovery;
    shakenPoints[i] = truth.shakenPoints;
    shakenEvenness[i] = truth.shakenEvenness;
    fullAt[i] = truth.fullAt;
    lean[i] = truth.lean;
    const place = nodePlace(truth.warmth);
    node[i] = Math.floor(place);
    part[i] = place - node[i]!;
  }
  return {
    z,
    weight,
    rate,
    lag,
    points,
    evenness,
    recovery,
    shakenPoints,
    shakenEvenness,
    fullAt,
    lean,
    node,
    part,
  };
}

const evenWeight = new Float64Array(particleCount).fill(1 / particleCount);
const firstZ = new Float64Array(particleCount * stateDimensions);
for (let i = 0; i < particleCount; i++)
  for (let dimension = 0; dimension < stateDimensions; dimension++)
    firstZ[i * stateDimensions + dimension] = draws[i * drawDimensions + drawOf(dimension)]!;

/** The particles of a batch that nobody looked at yet. */
export const priorParticles = (prior: TraitPrior): Particles => particlesAt(prior, firstZ, evenWeight);
