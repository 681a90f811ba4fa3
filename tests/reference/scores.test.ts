import { describe, expect, it } from 'vitest';
import { coverageBand, intervalCoverage } from '../../shared/stats/coverage.ts';
import { normalCdf, normalQuantile } from '../../shared/stats/normal.ts';
import { effectiveSampleSize, quantile, weightedQuantile } from '../../shared/stats/quantiles.ts';
import { medianAbsoluteDeviation, robustSd } from '../../shared/stats/robust.ts';
import { bias, crpsEnsemble, crpsFair, crpsNormal, meanAbsoluteError } from '../../shared/stats/scores.ts';
import { logGamma, studentTLogDensity } from '../../shared/stats/student-t.ts';

const equal = (values: number[]) => ({ values, weights: values.map(() => 1) });

describe('CRPS (Gneiting & Raftery 2007, JASA 102:359-378)', () => {
  it('normal forecast', () => {
    // -3: tests of the R package scoringRules; 0: from the closed form, (sqrt 2 - 1) / sqrt pi.
    expect(crpsNormal(-3, 0, 1)).toBeCloseTo(2.43657473, 8);
    expect(crpsNormal(-2.9, 0.1, 1)).toBeCloseTo(2.43657473, 8);
    expect(crpsNormal(-6, 0, 2)).toBeCloseTo(2 * 2.43657473, 7);
    expect(crpsNormal(0, 0, 1)).toBeCloseTo(0.2336949773, 10);
    expect(crpsNormal(0, 0, 1)).toBeCloseTo((Math.SQRT2 - 1) / Math.sqrt(Math.PI), 14);
    expect(crpsNormal(2, 5, 0)).toBe(3);
  });
  it('ensemble [1, 2, 3, 4] at 2.5: 0.375, fair 0.1666667', () => {
    expect(crpsEnsemble(2.5, equal([4, 1, 3, 2]))).toBeCloseTo(0.375, 14);
    expect(crpsFair(2.5, [3, 1, 4, 2])).toBeCloseTo(1 / 6, 14);
  });
  it('a weighted ensemble is the same as its members repeated', () => {
    const once = crpsEnsemble(2.2, { values: [1, 2, 5], weights: [3, 1, 2] });
    expect(once).toBeCloseTo(crpsEnsemble(2.2, equal([1, 1, 1, 2, 5, 5])), 14);
  });
  it('a large ensemble of normal quantiles nears the closed form; one member is the absolute error', () => {
    const many = Array.from({ length: 20_000 }, (_, index) => normalQuantile((index + 0.5) / 20_000));
    for (const observed of [-3, 0, 0.7])
      expect(crpsEnsemble(observed, equal(many))).toBeCloseTo(crpsNormal(observed, 0, 1), 3);
    expect(crpsEnsemble(7, equal([4]))).toBe(3);
  });
});

describe('interval coverage', () => {
  it('80 % over 50 cases: central 95 % band .68 to .90 (binomial)', () =>
    expect(coverageBand(50, 0.8)).toEqual({ low: 0.68, high: 0.9 }));
  it('counts ends as inside', () => {
    const cases = [0, 1, 2, 3, 4].map((observed) => ({ low: 1, high: 3, observed }));
    expect(intervalCoverage(cases)).toMatchObject({ share: 0.6, inside: 3, count: 5, holds: true });
  });
  it('an interval that is always missed does not hold', () => {
    const cases = Array.from({ length: 30 }, () => ({ low: 1, high: 3, observed: 9 }));
    expect(intervalCoverage(cases).holds).toBe(false);
  });
  it('refuses to judge nothing', () => expect(() => intervalCoverage([])).toThrow(/needs a case/));
});

describe('normal and Student distributions', () => {
  it('quantiles of tables', () => {
    // Abramowitz & Stegun, table 26.1 and later digits (from memory).
    expect(normalQuantile(0.975)).toBeCloseTo(1.959963984540054, 13);
    expect(normalQuantile(0.9)).toBeCloseTo(1.2815515655446004, 13);
    expect(normalQuantile(1e-10)).toBeCloseTo(-6.361340902404056, 12);
    expect(normalQuantile(0.5)).toBeCloseTo(0, 15);
    expect(normalCdf(-8) / 6.22096057427178e-16).toBeCloseTo(1, 12);
    expect(normalCdf(1)).toBeCloseTo(0.8413447460685429, 14);
    expect([0, 1].map(normalQuantile)).toEqual([-Infinity, Infinity]);
    expect(normalQuantile(1.1)).toBeNaN();
  });
  it('gamma function at whole and half numbers', () => {
    expect(logGamma(0.5)).toBeCloseTo(Math.log(Math.sqrt(Math.PI)), 13);
    expect(logGamma(6)).toBeCloseTo(Math.log(120), 13);
    expect(logGamma(171)).toBeCloseTo(706.5730622457874, 9);
    expect(logGamma(0.1)).toBeCloseTo(2.252712651734206, 12);
  });
  it('Student density: Cauchy for one degree, closed form for two, normal for many', () => {
    expect(studentTLogDensity(0, 1)).toBeCloseTo(-Math.log(Math.PI), 13);
    expect(studentTLogDensity(2, 1)).toBeCloseTo(-Math.log(5 * Math.PI), 13);
    expect(studentTLogDensity(1, 2)).toBeCloseTo(Math.log(3 ** -1.5), 13);
    expect(studentTLogDensity(1.5, 1e7)).toBeCloseTo(-1.125 - Math.log(Math.sqrt(2 * Math.PI)), 6);
    expect(studentTLogDensity(7, 4, 1, 3)).toBeCloseTo(studentTLogDensity(2, 4) - Math.log(3), 13);
  });
});

describe('samples', () => {
  it("Kish's effective size", () => {
    // Kish 1965: (sum w)^2 / sum w^2.
    expect(effectiveSampleSize([1, 1, 1, 1])).toBe(4);
    expect(effectiveSampleSize([1, 0, 0])).toBe(1);
    expect(effectiveSampleSize([3, 1])).toBeCloseTo(1.6, 14);
    expect(effectiveSampleSize([0, 0])).toBe(0);
  });
  it("equal weights follow Hazen's rule", () => {
    // Hyndman & Fan 1996, The American Statistician 50:361-365, type 5.
    expect([0.1, 0.25, 0.5, 0.9].map((share) => quantile([10, 20, 30, 40, 50], share))).toEqual([
      10,
      expect.closeTo(17.5, 12),
      30,
      expect.closeTo(50, 12),
    ]);
  });
  it('weights act as repetitions do in the middle, and zero weight is nobody', () => {
    expect(weightedQuantile({ values: [5, 1, 9], weights: [1, 1, 0] }, 0.99)).toBe(5);
    expect(weightedQuantile({ values: [1, 2, 3], weights: [1, 2, 1] }, 0.5)).toBe(2);
    expect(weightedQuantile({ values: [1, Infinity], weights: [9, 1] }, 0.9)).toBe(Infinity);
    expect(weightedQuantile({ values: [Infinity, 1, Infinity], weights: [1, 5, 1] }, 0.95)).toBe(Infinity);
    expect(() => quantile([], 0.5)).toThrow(/at least one value/);
  });
  it('robust spread of a normal sample is its standard deviation, whatever a tenth of it does', () => {
    const sample = Array.from({ length: 2001 }, (_, index) => 5 + 2 * normalQuantile((index + 0.5) / 2001));
    expect(robustSd(sample)).toBeCloseTo(2, 2);
    expect(robustSd([...sample, ...new Array(200).fill(1e6)])).toBeLessThan(2.4);
    expect(medianAbsoluteDeviation([1, 1, 2, 2, 4, 6, 9])).toBe(1);
  });
  it('bias is late minus early, MAE has no sign', () => {
    expect(bias([3, 1], [1, 2])).toBe(0.5);
    expect(meanAbsoluteError([3, 1], [1, 2])).toBe(1.5);
    expect(() => bias([], [])).toThrow(/at least one/);
  });
});
