import { normalQuantile } from '../stats/normal.ts';
import { effectiveSampleSize } from '../stats/quantiles.ts';
import { sobolPoints } from '../stats/sobol.ts';
import { choleskyRoot } from '../stats/symmetric.ts';

/** 2^6 guesses a round. */
const bits = 6;
export const guessCount = 2 ** bits;
/** Proposals are this much wider than what they are made from, so that tails are covered. */
const widened = 1.5;
/** A round that would rest on fewer guesses than this is softened. */
const fewest = 14;

export interface Normal {
  mean: number;
  sd: number;
}

/** Guesses of a few independent normal numbers and how likely each is after what was seen. */
export interface Guesses {
  /** Guess after guess, one number for each dimension. */
  values: Float64Array;
  /** Add up to 1. */
  weights: Float64Array;
  dimensions: number;
}

/** Quasi-random standard normal numbers, the same at each call. */
const standard = new Map<number, Float64Array>();
function standardDraws(dimensions: number): Float64Array {
  const known = standard.get(dimensions);
  if (known !== undefined) return known;
  const draws = sobolPoints(bits, dimensions).map(normalQuantile);
  standard.set(dimensions, draws);
  return draws;
}

const normalised = (logWeights: Float64Array, soft = 1): Float64Array => {
  const top = logWeights.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  const weights = logWeights.map((value) => Math.exp(soft * (value - top)));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return weights.map((weight) => weight / total);
};

/** Weights raised to a power so low that enough guesses count. */
function softened(logWeights: Float64Array): Float64Array {
  let soft = 1;
  let weights = normalised(logWeights);
  while (effectiveSampleSize(weights) < fewest && soft > 0.02) {
    soft *= 0.7;
    weights = normalised(logWeights, soft);
  }
  return weights;
}

/** Mean and covariance of weighted guesses; no spread below a hundredth of the prior's. */
function momentsOf({ values, weights, dimensions }: Guesses, prior: readonly Normal[]) {
  const mean = prior.map((_, dimension) =>
    weights.reduce((sum, weight, guess) => sum + weight * values[guess * dimensions + dimension]!, 0),
  );
  const covariance = prior.flatMap((_, row) =>
    prior.map((__, column) => {
      const between = weights.reduce(
        (sum, weight, guess) =>
          sum +
          weight *
            (values[guess * dimensions + row]! - mean[row]!) *
            (values[guess * dimensions + column]! - mean[column]!),
        0,
      );
      return between + (row === column ? (0.01 * prior[row]!.sd) ** 2 : 0);
    }),
  );
  return { mean, covariance };
}

/**
 * Guesses weighed by what was seen: importance sampling whose proposals move to where the weight is (adaptive
 * importance sampling; Cappe et al. 2008, Stat. Comput. 18:447-459). Quasi-random and without chance: same
 * question, same answer.
 * @param logLikelihood of one guess; leave it out for the prior itself
 */
export function weighGuesses(
  prior: readonly Normal[],
  logLikelihood?: (guess: Float64Array) => number,
  rounds = 4,
): Guesses {
  const dimensions = prior.length;
  const draws = standardDraws(dimensions);
  let mean = prior.map((one) => one.mean);
  let root = new Float64Array(dimensions * dimensions);
  prior.forEach(({ sd }, index) => {
    root[index * dimensions + index] = sd * (logLikelihood === undefined ? 1 : widened);
  });
  for (let round = 1; ; round++) {
    const values = new Float64Array(draws.length);
    const logWeights = new Float64Array(guessCount);
    for (let guess = 0; guess < guessCount; guess++) {
      const at = guess * dimensions;
      let logWeight = 0;
      for (let row = 0; row < dimensions; row++) {
        let value = mean[row]!;
        for (let k = 0; k <= row; k++) value += root[row * dimensions + k]! * draws[at + k]!;
        values[at + row] = value;
        logWeight += 0.5 * draws[at + row]! ** 2 - 0.5 * ((value - prior[row]!.mean) / prior[row]!.sd) ** 2;
      }
      if (logLikelihood !== undefined) logWeight += logLikelihood(values.subarray(at, at + dimensions));
      logWeights[guess] = logWeight;
    }
    const guesses = { values, weights: normalised(logWeights), dimensions };
    if (logLikelihood === undefined || round === rounds) return guesses;
    const { mean: nextMean, covariance } = momentsOf({ ...guesses, weights: softened(logWeights) }, prior);
    mean = nextMean;
    root = choleskyRoot(covariance)!.map((part) => part * widened);
  }
}

/** Mean and standard deviation of one dimension. */
export function normalOf({ values, weights, dimensions }: Guesses, dimension: number): Normal {
  let mean = 0;
  let square = 0;
  weights.forEach((weight, guess) => {
    const value = values[guess * dimensions + dimension]!;
    mean += weight * value;
    square += weight * value * value;
  });
  return { mean, sd: Math.sqrt(Math.max(0, square - mean * mean)) };
}
