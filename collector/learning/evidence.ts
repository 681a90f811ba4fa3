import { type BatchTraits, traitCount as n } from '../../shared/growth/belief.ts';
import { choleskyRoot, symmetricEigen } from '../../shared/stats/symmetric.ts';

/** What one batch says of its own traits, as a normal likelihood: precision, and precision times mean. */
export interface Evidence {
  precision: Float64Array;
  weighted: Float64Array;
}

/**
 * Directions whose variance the looks left above this share of the prior's say nothing: among 2,048 draws from
 * an untouched prior the smallest share is about (1 - sqrt(8/2048))^2 = 0.88 by chance alone (Marchenko & Pastur
 * 1967), and draws that a chain made are worth a few less. Counting that noise would make hundreds of batches sure
 * of what none of them showed.
 */
const leastShare = 0.82;
/** No batch tells any direction better than this share of the prior's variance: its draws are too few. */
const mostTold = 0.02;

/** Solves root · x = b for a lower root. */
function solveRoot(root: Float64Array, b: ArrayLike<number>): Float64Array {
  const x = new Float64Array(n);
  for (let row = 0; row < n; row++) {
    let sum = b[row]!;
    for (let k = 0; k < row; k++) sum -= root[row * n + k]! * x[k]!;
    x[row] = sum / root[row * n + row]!;
  }
  return x;
}

/** Posterior covariance in coordinates in which the prior's is the identity. */
function whitened(root: Float64Array, covariance: ArrayLike<number>): Float64Array {
  const half = new Float64Array(n * n);
  for (let column = 0; column < n; column++) {
    const solved = solveRoot(
      root,
      Array.from({ length: n }, (_, row) => covariance[row * n + column]!),
    );
    for (let row = 0; row < n; row++) half[row * n + column] = solved[row]!;
  }
  const white = new Float64Array(n * n);
  for (let row = 0; row < n; row++) white.set(solveRoot(root, half.subarray(row * n, row * n + n)), row * n);
  return white;
}

/**
 * Divides a batch's posterior by its prior: what its looks alone say, so that batches can be put together
 * without counting what was believed before once per batch (the site of expectation propagation; Minka 2001,
 * UAI 17:362-369). Undefined when they say nothing.
 */
export function evidenceOf({ prior, posterior }: BatchTraits): Evidence | undefined {
  const root = choleskyRoot(prior.covariance);
  if (root === undefined) return undefined;
  const { values, vectors } = symmetricEigen(whitened(root, posterior.covariance), n);
  const shift = solveRoot(
    root,
    posterior.mean.map((log, index) => log - prior.mean[index]!),
  );
  const precision = new Float64Array(n * n);
  const weighted = new Float64Array(n);
  let told = false;
  for (let k = 0; k < n; k++) {
    const share = Math.max(mostTold, values[k]!);
    if (share > leastShare) continue;
    told = true;
    const weight = 1 / share - 1;
    let along = 0;
    for (let i = 0; i < n; i++) along += vectors[i * n + k]! * shift[i]!;
    // Posterior mean = weight / (1 + weight) of the way to what was seen.
    const seen = (along * (1 + weight)) / weight;
    // The direction as a row in trait coordinates: vectorᵀ · root⁻¹.
    const row = new Float64Array(n);
    for (let column = n - 1; column >= 0; column--) {
      let sum = vectors[column * n + k]!;
      for (let below = column + 1; below < n; below++) sum -= root[below * n + column]! * row[below]!;
      row[column] = sum / root[column * n + column]!;
    }
    let atPrior = 0;
    for (let i = 0; i < n; i++) atPrior += row[i]! * prior.mean[i]!;
    for (let i = 0; i < n; i++) {
      weighted[i]! += weight * row[i]! * (seen + atPrior);
      for (let j = 0; j < n; j++) precision[i * n + j]! += weight * row[i]! * row[j]!;
    }
  }
  return told ? { precision, weighted } : undefined;
}
