import type { InoculationWay } from '../../shared/bags.ts';
import {
  firstBelief,
  traitCount as n,
  type Trait,
  type TraitBelief,
  traits,
} from '../../shared/growth/belief.ts';
import { invertSymmetric } from '../../shared/stats/symmetric.ts';
import type { Evidence } from './evidence.ts';

/** What batches have in common: the site, the way of inoculating, the species, the strain. */
export interface Kin {
  way: InoculationWay;
  species: string;
  strain: string;
}

/**
 * Parts of the variance between batches of any strain that lie with each level; the rest is from batch to
 * batch. Speed and lag are the strain's; points and evenness are the hand's that inoculates. Assumed.
 */
const parts: Record<Trait, { site: number; way: number; species: number; strain: number }> = {
  rate: { site: 0.16, way: 0, species: 0.24, strain: 0.44 },
  lag: { site: 0.1, way: 0.25, species: 0.15, strain: 0.2 },
  points: { site: 0.15, way: 0.45, species: 0, strain: 0 },
  evenness: { site: 0.15, way: 0.35, species: 0, strain: 0 },
  recovery: { site: 0.35, way: 0, species: 0.1, strain: 0.15 },
  shakenPoints: { site: 0.6, way: 0, species: 0, strain: 0.05 },
  shakenEvenness: { site: 0.4, way: 0.05, species: 0, strain: 0 },
  leftBare: { site: 0.5, way: 0, species: 0, strain: 0.1 },
};
const levels = ['site', 'way', 'species', 'strain'] as const;

const total = traits.map((_, index) => firstBelief.covariance[index * n + index]!);
/** Variance of each level, by trait; a level without any of a trait keeps a trace, so that matrices invert. */
const varianceOf = (level: (typeof levels)[number]): number[] =>
  traits.map((trait, index) => Math.max(parts[trait][level], 1e-4) * total[index]!);
const batchVariance = total.map((variance, index) =>
  levels.reduce((left, level) => left - varianceOf(level)[index]!, variance),
);

/** What finished batches together teach of the next one. */
export interface Learned {
  /** Belief of a batch of this kin before anyone looks at it. */
  beliefOf(kin: Kin): TraitBelief;
}

/** A batch's evidence with the scatter from batch to batch added: of what its kin share. */
function ofKin({ precision, weighted }: Evidence): Evidence {
  // (W + L⁻¹)⁻¹ = L - L (L + W⁻¹)⁻¹ L, which needs no inverse of L.
  const inner = Float64Array.from(precision);
  for (let i = 0; i < n; i++) inner[i * n + i]! += 1 / batchVariance[i]!;
  const inverse = invertSymmetric(inner, n);
  const through = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++)
      for (let k = 0; k < n; k++) through[i * n + j]! += precision[i * n + k]! * inverse[k * n + j]!;
  const shared = Float64Array.from(precision);
  const mean = Float64Array.from(weighted);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) {
      mean[i]! -= through[i * n + j]! * weighted[j]!;
      for (let k = 0; k < n; k++) shared[i * n + j]! -= through[i * n + k]! * precision[k * n + j]!;
    }
  return { precision: shared, weighted: mean };
}

/**
 * Learns from finished batches: logs of a batch's factors = site + way + species + strain + batch, each normal
 * with the variance above, each batch seen through its evidence. All normal, so the answer is exact and the
 * order of batches plays no part (Lindley & Smith 1972, JRSS B 34:1-41). Without evidence the belief is
 * `firstBelief`; with it, no belief is wider.
 */
export function learn(batches: readonly { kin: Kin; evidence: Evidence }[]): Learned {
  const effects = new Map<string, number>();
  const variances: number[] = [];
  const namesOf = (kin: Kin): string[] => [
    'site',
    `way ${kin.way}`,
    `species ${kin.species}`,
    `strain ${kin.strain}`,
  ];
  for (const { kin } of batches)
    namesOf(kin).forEach((name, level) => {
      if (effects.has(name)) return;
      effects.set(name, effects.size);
      variances.push(...varianceOf(levels[level]!));
    });

  const size = effects.size * n;
  const precision = new Float64Array(size * size);
  const weighted = new Float64Array(size);
  variances.forEach((variance, index) => {
    precision[index * size + index] = 1 / variance;
  });
  for (const { kin, evidence } of batches) {
    const shared = ofKin(evidence);
    const places = namesOf(kin).map((name) => effects.get(name)! * n);
    for (const row of places)
      for (let i = 0; i < n; i++) {
        weighted[row + i]! += shared.weighted[i]!;
        for (const column of places)
          for (let j = 0; j < n; j++)
            precision[(row + i) * size + column + j]! += shared.precision[i * n + j]!;
      }
  }
  const covariance = size === 0 ? new Float64Array(0) : invertSymmetric(precision, size);
  const mean = new Float64Array(size);
  for (let i = 0; i < size; i++)
    for (let j = 0; j < size; j++) mean[i]! += covariance[i * size + j]! * weighted[j]!;

  return {
    beliefOf(kin) {
      const belief = { mean: traits.map(() => 0), covariance: new Array<number>(n * n).fill(0) };
      traits.forEach((_, index) => {
        belief.covariance[index * n + index] = batchVariance[index]!;
      });
      const known: number[] = [];
      namesOf(kin).forEach((name, level) => {
        const at = effects.get(name);
        if (at !== undefined) known.push(at * n);
        else
          varianceOf(levels[level]!).forEach((variance, index) => {
            belief.covariance[index * n + index]! += variance;
          });
      });
      for (const row of known)
        for (let i = 0; i < n; i++) {
          belief.mean[i]! += mean[row + i]!;
          for (const column of known)
            for (let j = 0; j < n; j++)
              belief.covariance[i * n + j]! += covariance[(row + i) * size + column + j]!;
        }
      return { ...symmetric(belief), coreOffsetK: firstBelief.coreOffsetK };
    },
  };
}

/** Takes rounding out of a covariance, and keeps the mean where a belief may lie. */
function symmetric({ mean, covariance }: { mean: number[]; covariance: number[] }) {
  return {
    mean: mean.map((value) => Math.max(-4.9, Math.min(4.9, value))),
    covariance: covariance.map(
      (value, index) => (value + covariance[(index % n) * n + Math.floor(index / n)]!) / 2,
    ),
  };
}
