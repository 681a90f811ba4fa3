import { type Eye, lookLikelihood, slipLikelihood, usedLikelihood } from '../../shared/growth/look.ts';
import { coverageFor, shareAt } from '../../shared/growth/overlap.ts';
import { pointsAfterShake } from '../../shared/growth/points.ts';
import { between } from './nodes.ts';
import { type Particles, particleCount, type Truth } from './particles.ts';

/**
 * The spell of growth that each particle of a cohort is in, times in its own thermal days. Never changed once
 * made.
 */
export interface Spells {
  readonly startsAt: Float64Array;
  readonly points: Float64Array;
  readonly evenness: Float64Array;
  readonly startShare: Float64Array;
}

const noShare = new Float64Array(particleCount);

/** From inoculation on. */
export const firstSpells = (particles: Particles): Spells => ({
  startsAt: particles.lag,
  points: particles.points,
  evenness: particles.evenness,
  startShare: noShare,
});

const sphere = (4 / 3) * Math.PI * 1e-3;

/** Share of a particle at its thermal time. */
export function shareOf(spells: Spells, particles: Particles, i: number, theta: number): number {
  const radiusMm = (theta - spells.startsAt[i]!) * particles.rate[i]!;
  if (radiusMm <= 0) return spells.startShare[i]!;
  const covered = sphere * spells.points[i]! * radiusMm * radiusMm * radiusMm;
  return shareAt(covered, spells.evenness[i]!, spells.startShare[i]!);
}

/** Thermal time at which a particle reaches a share. */
export function reachesAt(spells: Spells, particles: Particles, i: number, share: number): number {
  const covered = coverageFor(share, spells.evenness[i]!, spells.startShare[i]!);
  if (covered === 0) return spells.startsAt[i]!;
  return spells.startsAt[i]! + Math.cbrt(covered / (sphere * spells.points[i]!)) / particles.rate[i]!;
}

/** Below this a shake spreads what can hardly be seen; it counts as this much. */
const leastShaken = 1e-3;

/** Points that a shake makes at a share. */
const shakenPoints = (share: number, factor: number): number =>
  pointsAfterShake(Math.max(share, leastShaken)) * factor;

/** Spells after a shake at the thermal times of `nodes`. */
export function shakeAll(spells: Spells, particles: Particles, nodes: Float64Array): Spells {
  const startsAt = new Float64Array(particleCount);
  const points = new Float64Array(particleCount);
  const startShare = new Float64Array(particleCount);
  for (let i = 0; i < particleCount; i++) {
    const theta = between(nodes, particles.node[i]!, particles.part[i]!);
    const share = shareOf(spells, particles, i, theta);
    startsAt[i] = theta + particles.recovery[i]!;
    points[i] = shakenPoints(share, particles.shakenPoints[i]!);
    startShare[i] = share;
  }
  return { startsAt, points, evenness: particles.shakenEvenness, startShare };
}

/** Thermal time of ready if a particle were shaken at a thermal time and share. */
export function readyIfShaken(particles: Particles, i: number, theta: number, share: number): number {
  const covered = coverageFor(particles.fullAt[i]!, particles.shakenEvenness[i]!, share);
  const points = shakenPoints(share, particles.shakenPoints[i]!);
  return theta + particles.recovery[i]! + Math.cbrt(covered / (sphere * points)) / particles.rate[i]!;
}

/** What happened to a cohort that tells of its growth or changes it, with the thermal times of then. */
export interface Mark {
  kind: 'look' | 'shake' | 'used';
  t: number;
  nodes: Float64Array;
  judged: number;
  who: string;
  eye: Eye;
  /** Share of the grain that was poured in as spawn. */
  spawnShare: number;
  event: string;
  /** False where the same look is already counted with another cohort of the batch. */
  counts: boolean;
}

/**
 * Likelihood of what was seen or done, given the true share, how looks err together and what is called full. Of
 * fresh grain with spawn in it some count the white kernels that were poured in, some only what has grown since.
 */
export const likelihoodOf = (
  { kind, judged, eye, spawnShare }: Pick<Mark, 'kind' | 'judged' | 'eye' | 'spawnShare'>,
  share: number,
  lean: number,
  fullAt: number,
): number => {
  if (kind === 'used') return usedLikelihood(share);
  const grown = lookLikelihood(judged, share, eye, lean, fullAt);
  if (spawnShare === 0) return grown;
  const white = 1 - (1 - share) * (1 - spawnShare);
  return (grown + lookLikelihood(judged, white, eye, lean, fullAt)) / 2;
};

/** Probability that a look was about something else, given the same. */
export const slipOf = (mark: Mark, share: number, lean: number, fullAt: number): number =>
  slipLikelihood(mark.judged) / likelihoodOf(mark, share, lean, fullAt);

/**
 * Runs one truth through a cohort's marks.
 * @param shares takes the true share at each mark, a shake's own included
 */
export function follow(
  truth: Truth,
  node: number,
  part: number,
  marks: readonly Mark[],
  shares: Float64Array,
): void {
  let startsAt = truth.lag;
  let points = truth.points;
  let evenness = truth.evenness;
  let startShare = 0;
  for (let index = 0; index < marks.length; index++) {
    const mark = marks[index]!;
    const theta = between(mark.nodes, node, part);
    const radiusMm = (theta - startsAt) * truth.rate;
    const covered = radiusMm <= 0 ? 0 : sphere * points * radiusMm * radiusMm * radiusMm;
    const share = shareAt(covered, evenness, startShare);
    shares[index] = share;
    if (mark.kind !== 'shake') continue;
    startsAt = theta + truth.recovery;
    points = shakenPoints(share, truth.shakenPoints);
    evenness = truth.shakenEvenness;
    startShare = share;
  }
}
