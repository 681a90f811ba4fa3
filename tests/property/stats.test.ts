import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { coverageBand } from '../../shared/stats/coverage.ts';
import { leastSquares } from '../../shared/stats/least-squares.ts';
import { invert } from '../../shared/stats/linear.ts';
import { normalCdf, normalQuantile } from '../../shared/stats/normal.ts';
import { normalDraws } from '../../shared/stats/normal-draws.ts';
import { effectiveSampleSize, weightedQuantiles } from '../../shared/stats/quantiles.ts';
import { crpsEnsemble, crpsFair, crpsNormal } from '../../shared/stats/scores.ts';
import { studentTLogDensity } from '../../shared/stats/student-t.ts';
import { celsiusToFahrenheit, fahrenheitToCelsius, kgToLb, lbToKg } from '../../shared/units/convert.ts';

const runs = { seed: 20_262, numRuns: 200 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const sample = fc
  .array(fc.tuple(real(-50, 50), real(0.01, 5)), { minLength: 1, maxLength: 40 })
  .map((pairs) => ({
    values: pairs.map(([value]) => value),
    weights: pairs.map(([, weight]) => weight),
  }));

describe('laws of the statistics', () => {
  it('quantiles rise with the share and stay within the sample', () => {
    fc.assert(
      fc.property(sample, (any) => {
        const shares = [0, 0.05, 0.1, 0.3, 0.5, 0.7, 0.9, 1];
        const found = weightedQuantiles(any, shares);
        found.forEach((value, index) => {
          expect(value).toBeGreaterThanOrEqual(Math.min(...any.values));
          expect(value).toBeLessThanOrEqual(Math.max(...any.values));
          if (index > 0) expect(value).toBeGreaterThanOrEqual(found[index - 1]! - 1e-9);
        });
        const scaled = weightedQuantiles(
          { ...any, weights: any.weights.map((weight) => weight * 7) },
          shares,
        );
        scaled.forEach((value, index) => {
          expect(value).toBeCloseTo(found[index]!, 6);
        });
      }),
      runs,
    );
  });
  it('effective size is between 1 and n', () => {
    fc.assert(
      fc.property(sample, ({ weights }) => {
        expect(effectiveSampleSize(weights)).toBeGreaterThanOrEqual(1 - 1e-9);
        expect(effectiveSampleSize(weights)).toBeLessThanOrEqual(weights.length + 1e-9);
      }),
      runs,
    );
  });
  it('CRPS is never negative, moves with its forecast, and the fair one is the smaller', () => {
    fc.assert(
      fc.property(sample, real(-60, 60), real(-9, 9), real(0.1, 9), (any, observed, shift, sd) => {
        const score = crpsEnsemble(observed, any);
        expect(score).toBeGreaterThanOrEqual(-1e-9);
        const moved = { ...any, values: any.values.map((value) => value + shift) };
        expect(crpsEnsemble(observed + shift, moved)).toBeCloseTo(score, 8);
        if (any.values.length > 1) {
          const even = { values: any.values, weights: any.values.map(() => 1) };
          expect(crpsFair(observed, any.values)).toBeLessThanOrEqual(crpsEnsemble(observed, even) + 1e-9);
        }
        expect(crpsNormal(observed, shift, sd)).toBeGreaterThan(0);
      }),
      runs,
    );
  });
  it('an honest normal forecast scores better than one that is twice as sure, or half', () => {
    const mean = (sd: number): number => {
      let sum = 0;
      for (let index = 0; index < 2000; index++)
        sum += crpsNormal(normalQuantile((index + 0.5) / 2000), 0, sd);
      return sum / 2000;
    };
    expect(mean(1)).toBeLessThan(mean(0.5));
    expect(mean(1)).toBeLessThan(mean(2));
  });
  it('normal quantile and distribution undo each other', () => {
    fc.assert(
      fc.property(real(1e-12, 1 - 1e-12), (p) => {
        expect(normalCdf(normalQuantile(p)) / p).toBeCloseTo(1, 9);
      }),
      runs,
    );
  });
  it("Student's density adds up to one", () => {
    for (const degrees of [2.5, 4, 30]) {
      let sum = 0;
      for (let x = -400; x < 400; x += 0.01) sum += Math.exp(studentTLogDensity(x, degrees, 3, 1.5)) * 0.01;
      expect(sum).toBeCloseTo(1, 3);
    }
  });
  it('the coverage band narrows about its chance as cases come in', () => {
    const widths = [10, 50, 250, 2000].map((count) => {
      const { low, high } = coverageBand(count, 0.8);
      expect(low).toBeLessThanOrEqual(0.8);
      expect(high).toBeGreaterThanOrEqual(0.8);
      return high - low;
    });
    expect(widths).toEqual([...widths].sort((a, b) => b - a));
  });
  it('least squares solves a straight line exactly and never ends above its start', () => {
    fc.assert(
      fc.property(real(-5, 5), real(-5, 5), real(-5, 5), real(-5, 5), (slope, height, s0, h0) => {
        const xs = [0, 1, 2, 5, 9];
        const { parameters, squares } = leastSquares(
          ([s, h]) => xs.map((x) => s! * x + h! - slope * x - height),
          [s0, h0],
        );
        expect(squares).toBeLessThan(1e-12);
        expect(parameters[0]).toBeCloseTo(slope, 5);
        expect(parameters[1]).toBeCloseTo(height, 5);
      }),
      runs,
    );
    // Rosenbrock's valley (1960), the usual trial of such searches: minimum 0 at (1, 1).
    const valley = leastSquares(([x, y]) => [10 * (y! - x! * x!), 1 - x!], [-1.2, 1]);
    expect(valley.parameters[0]).toBeCloseTo(1, 6);
    expect(valley.parameters[1]).toBeCloseTo(1, 6);
  });
  it('a matrix times its inverse is one; a singular matrix has none', () => {
    fc.assert(
      fc.property(fc.array(real(-3, 3), { minLength: 9, maxLength: 9 }), (entries) => {
        const rows = [0, 1, 2].map((row) => entries.slice(3 * row, 3 * row + 3));
        const square = rows.map((a, i) =>
          rows.map((b, j) => a.reduce((sum, x, k) => sum + x * b[k]!, i === j ? 1 : 0)),
        );
        const inverse = invert(square)!;
        square.forEach((row, i) => {
          inverse.forEach((_, j) => {
            const product = row.reduce((sum, x, k) => sum + x * inverse[k]![j]!, 0);
            expect(product).toBeCloseTo(i === j ? 1 : 0, 8);
          });
        });
      }),
      runs,
    );
    expect(
      invert([
        [1, 2],
        [2, 4],
      ]),
    ).toBeNull();
    expect(
      invert([
        [0, 0],
        [0, 1],
      ]),
    ).toBeNull();
  });
  it('screens show what the farm measured: units there and back', () => {
    fc.assert(
      fc.property(real(-60, 200), (value) => {
        expect(fahrenheitToCelsius(celsiusToFahrenheit(value))).toBeCloseTo(value, 9);
        expect(lbToKg(kgToLb(value))).toBeCloseTo(value, 9);
      }),
      runs,
    );
  });
});

describe('normal draws', () => {
  const of = (seed: number, count: number): number[] => {
    const draw = normalDraws(seed);
    return Array.from({ length: count }, draw);
  };
  const mean = (values: readonly number[]): number =>
    values.reduce((sum, value) => sum + value, 0) / values.length;

  it('are normal: mean, spread, tails; same seed, same numbers', () => {
    const draws = of(5, 100_000);
    expect(Math.abs(mean(draws))).toBeLessThan(0.012);
    expect(mean(draws.map((x) => x * x))).toBeCloseTo(1, 1.7);
    expect(mean(draws.map((x) => x ** 4)) / 3).toBeCloseTo(1, 1);
    expect(draws.filter((x) => x > 1.28155).length / draws.length).toBeCloseTo(0.1, 2);
    expect(of(5, 100)).toEqual(draws.slice(0, 100));
  });
  it('of neighbouring seeds have nothing to do with each other', () => {
    const a: number[] = [];
    const b: number[] = [];
    for (let seed = 0; seed < 2000; seed++) {
      a.push(of(seed, 1)[0]!);
      b.push(of(seed + 1, 1)[0]!);
    }
    const correlation = mean(a.map((x, index) => x * b[index]!));
    expect(Math.abs(correlation)).toBeLessThan(0.08);
    expect(Math.abs(mean(a))).toBeLessThan(0.08);
    expect(mean(a.map((x) => x * x))).toBeCloseTo(1, 0.9);
  });
});
