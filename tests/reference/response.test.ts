import { describe, expect, it } from 'vitest';
import { fitResponse } from '../../shared/growth/fit.ts';
import {
  betaYanHunt,
  briere1,
  briere2,
  briereOptimumC,
  briereShape,
  cardinal,
  createResponse,
} from '../../shared/growth/response.ts';

describe('cardinal temperature model, (5, 25, 35)', () => {
  // Rosso, Lobry & Flandrois 1993, J. Theor. Biol. 162:447-463; values computed from the published equation.
  const gamma = cardinal(5, 25, 35);
  it.each([
    [10, 0.15625],
    [15, 0.5],
    [20, 0.84375],
    [25, 1],
    [28, 0.92575],
    [30, 0.78125],
    [5, 0],
    [35, 0],
  ])('%d degC: %d', (tempC, wanted) => expect(gamma(tempC)).toBeCloseTo(wanted, 10));

  it('is the Yan & Hunt beta where the rise is twice the fall', () => {
    // Yan & Hunt 1999, Annals of Botany 84:607-614; follows from the two equations.
    const beta = betaYanHunt(5, 25, 35);
    for (let tempC = 0; tempC <= 40; tempC += 0.25) expect(gamma(tempC)).toBeCloseTo(beta(tempC), 12);
  });
});

describe('Briere-1, codling moth egg', () => {
  // Parameters: Aghdam 2009; equation: Briere et al. 1999, Env. Ent. 28:22-29; values from the two.
  const [a, t0, tm] = [0.0001453, 9.645, 37.6185];
  it.each([
    [15, 0.055507],
    [25, 0.198134],
    [30, 0.244902],
  ])('rate at %d degC: %d', (tempC, wanted) => {
    expect(a * briereShape(tempC, t0, tm, 2)).toBeCloseTo(wanted, 6);
    const top = a * briereShape(briereOptimumC(t0, tm, 2), t0, tm, 2);
    expect(top * briere1(t0, tm)(tempC)).toBeCloseTo(wanted, 6);
  });
  it('optimum 31.2354 degC', () => expect(briereOptimumC(t0, tm, 2)).toBeCloseTo(31.2354, 4));
  it('Briere-2 with exponent 2 is Briere-1, and its optimum is where it is largest', () => {
    for (let tempC = 5; tempC < 40; tempC++) expect(briere2(t0, tm, 2)(tempC)).toBe(briere1(t0, tm)(tempC));
    for (const exponent of [1, 1.5, 4, 10]) {
      const gamma = briere2(t0, tm, exponent);
      const optimum = briereOptimumC(t0, tm, exponent);
      expect(gamma(optimum)).toBeCloseTo(1, 12);
      expect(gamma(optimum - 0.01)).toBeLessThan(1);
      expect(gamma(optimum + 0.01)).toBeLessThan(1);
    }
  });
});

describe('fit', () => {
  // Mean of 28 strains of P. eryngii on agar [mm/d]; Soylu, Boztok & Esiyok 2016, Acta Hort. 1123:207-214.
  const eryngii = [
    { tempC: 15, rate: 0.9 },
    { tempC: 20, rate: 2.84 },
    { tempC: 25, rate: 3.35 },
    { tempC: 30, rate: 2.39 },
  ];

  it('finds the cardinal temperatures of P. eryngii', () => {
    // Four points and four unknowns: the curve runs through them. Values recomputed independently.
    const fit = fitResponse(eryngii, 'cardinal');
    expect(fit.spec).toMatchObject({
      tMinC: expect.closeTo(13.018, 3),
      tOptC: expect.closeTo(24.24, 3),
      tMaxC: expect.closeTo(34.93, 2),
    });
    expect(fit.rateAtOptimum).toBeCloseTo(3.367, 4);
    expect(fit.rmse).toBeLessThan(1e-6);
    expect(fit.degreesOfFreedom).toBe(0);
    expect(fit.parameters.every(({ standardError }) => standardError === null)).toBe(true);
  });

  it('agrees with the published optimum of P. eryngii', () => {
    // 25 degC; Zervakis et al. 2001, Folia Microbiol. 46:231-234.
    for (const form of ['cardinal', 'beta', 'briere1'] as const)
      expect(Math.abs(fitResponse(eryngii, form).optimumC - 25)).toBeLessThan(1.5);
  });

  it('gives the standard errors of an ordinary straight-line fit where it is one', () => {
    // Rates on the rising part only, thresholds far above: then rate = slope * (T - lower). Textbook
    // formulas of simple regression for slope and x-intercept, computed here by themselves.
    const rows = [10, 14, 18, 22, 26].map((tempC, index) => ({
      tempC,
      rate: 0.2 * (tempC - 6) + [0.05, -0.08, 0.02, 0.06, -0.05][index]!,
      sd: 0.1,
    }));
    const fit = fitResponse(
      [...rows, { tempC: 38, rate: 5.5, sd: 0.1 }, { tempC: 42, rate: 5.5, sd: 0.1 }],
      'linear',
    );
    const n = rows.length;
    const meanX = rows.reduce((sum, row) => sum + row.tempC, 0) / n;
    const meanY = rows.reduce((sum, row) => sum + row.rate, 0) / n;
    const sxx = rows.reduce((sum, row) => sum + (row.tempC - meanX) ** 2, 0);
    const slope = rows.reduce((sum, row) => sum + (row.tempC - meanX) * (row.rate - meanY), 0) / sxx;
    const intercept = meanX - meanY / slope;
    const variance = (0.1 / slope) ** 2 * (1 / n + (meanX - intercept) ** 2 / sxx);
    const lower = fit.parameters.find(({ name }) => name === 'lowerC')!;
    expect(lower.value).toBeCloseTo(intercept, 3);
    expect(lower.standardError).toBeCloseTo(Math.sqrt(variance), 3);
    const rate = fit.parameters.find(({ name }) => name === 'rateAtOptimum')!;
    expect(rate.value).toBeCloseTo(5.5, 3);
    expect(rate.standardError).toBeCloseTo(0.1 / Math.SQRT2, 3);
  });

  it('recovers every form from its own values', () => {
    const truths = [
      { form: 'cardinal', tMinC: 5, tOptC: 26, tMaxC: 35 },
      { form: 'beta', tMinC: 4, tOptC: 24, tMaxC: 33 },
      { form: 'briere1', tMinC: 6, tMaxC: 34 },
      { form: 'briere2', tMinC: 6, tMaxC: 34, exponent: 3 },
      { form: 'linear', lowerC: 6, upperC: 25, cutoff: 'horizontal' },
    ] as const;
    for (const truth of truths) {
      const gamma = createResponse(truth);
      const rows = [8, 11, 14, 17, 20, 23, 26, 29, 32].map((tempC) => ({ tempC, rate: 4.2 * gamma(tempC) }));
      const fit = fitResponse(rows, truth.form);
      expect(fit.rmse, truth.form).toBeLessThan(1e-4);
      expect(fit.rateAtOptimum, truth.form).toBeCloseTo(4.2, 2);
      for (const [name, value] of Object.entries(truth))
        if (typeof value === 'number')
          expect((fit.spec as unknown as Record<string, number>)[name], `${truth.form} ${name}`).toBeCloseTo(
            value,
            1,
          );
    }
  });
});
