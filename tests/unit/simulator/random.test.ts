import { describe, expect, it } from 'vitest';
import { createRandom, resumeRandom, seedOf } from '../../../simulator/random.ts';

const many = (count: number, draw: () => number) => Array.from({ length: count }, draw);
const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

describe('random', () => {
  it('goes on from a kept state as the first would have', () => {
    const first = createRandom(9);
    many(7, first.uniform);
    const second = resumeRandom(JSON.parse(JSON.stringify(first.state())));
    expect(many(50, second.uniform)).toEqual(many(50, first.uniform));
  });

  it('draws distributions with the means and spreads that it was asked for', () => {
    const random = createRandom(1);
    const normal = many(20_000, () => random.normal(3, 2));
    expect(mean(normal)).toBeCloseTo(3, 1);
    expect(Math.sqrt(mean(normal.map((value) => (value - 3) ** 2)))).toBeCloseTo(2, 1);
    expect(mean(many(20_000, () => random.exponential(5)))).toBeCloseTo(5, 0);
    expect(mean(many(20_000, () => random.poisson(4)))).toBeCloseTo(4, 1);
    expect(mean(many(20_000, () => (random.chance(0.3) ? 1 : 0)))).toBeCloseTo(0.3, 1);
    const logs = many(20_001, () => random.logNormal(8, 0.5)).sort((a, b) => a - b);
    expect(logs[10_000]).toBeGreaterThan(7.7);
    expect(logs[10_000]).toBeLessThan(8.3);
  });

  it('draws no infinite number, and whole numbers below their limit', () => {
    const random = createRandom(2);
    expect(many(50_000, () => random.normal(0, 1)).every(Number.isFinite)).toBe(true);
    expect(new Set(many(1_000, () => random.below(4)))).toEqual(new Set([0, 1, 2, 3]));
  });

  it('makes different seeds of different words', () => {
    const seeds = ['a', 'b', 'ab', 'a|b'].flatMap((word) => [1, 2, 3].map((n) => seedOf(word, n)));
    expect(new Set(seeds).size).toBe(seeds.length);
    expect(seedOf('a', 1)).toBe(seedOf('a', 1));
  });
});
