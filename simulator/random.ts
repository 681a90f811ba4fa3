import { xoroshiro128plus, xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus';
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator';

/** A seeded stream of random numbers whose state can be kept and taken up again. */
export interface Random {
  /** In [0, 1). */
  uniform(): number;
  between(low: number, high: number): number;
  /** Standard normal times `sd` plus `mean`. */
  normal(mean: number, sd: number): number;
  /** `median` times exp of a normal of `sigma`. */
  logNormal(median: number, sigma: number): number;
  exponential(mean: number): number;
  poisson(mean: number): number;
  chance(probability: number): boolean;
  /** Whole number from 0 to `below` - 1. */
  below(below: number): number;
  pick<T>(items: readonly T[]): T;
  state(): number[];
}

/** A 32-bit seed from any words: the same words, the same seed (FNV-1a with a final mix). */
export function seedOf(...words: (string | number)[]): number {
  let hash = 0x811c9dc5;
  for (const char of words.join('|')) {
    hash ^= char.codePointAt(0)!;
    hash = Math.imul(hash, 0x01000193);
  }
  hash ^= hash >>> 16;
  hash = Math.imul(hash, 0x85ebca6b);
  hash ^= hash >>> 13;
  return hash | 0;
}

/** 32 random bits are finer than anything in this world. */
const perStep = 2 ** -32;

const wrap = (generator: RandomGenerator): Random => {
  const uniform = () => (generator.next() >>> 0) * perStep;
  const gauss = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  const below = (limit: number) => Math.floor(uniform() * limit);
  return {
    uniform,
    between: (low, high) => low + (high - low) * uniform(),
    normal: (mean, sd) => mean + sd * gauss(),
    logNormal: (median, sigma) => median * Math.exp(sigma * gauss()),
    exponential: (mean) => -mean * Math.log(1 - uniform()),
    poisson(mean) {
      const limit = Math.exp(-mean);
      let count = 0;
      for (let product = uniform(); product > limit; product *= uniform()) count += 1;
      return count;
    },
    chance: (probability) => uniform() < probability,
    below,
    pick: (items) => items[below(items.length)]!,
    state: () => [...generator.getState()],
  };
};

export const createRandom = (seed: number): Random => wrap(xoroshiro128plus(seed));
export const resumeRandom = (state: readonly number[]): Random => wrap(xoroshiro128plusFromState(state));
