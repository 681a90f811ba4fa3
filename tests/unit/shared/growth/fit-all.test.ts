import { describe, expect, it } from 'vitest';
import { fitResponse } from '../../../../shared/growth/fit.ts';
import { fitAll, responseForms } from '../../../../shared/growth/fit-all.ts';
import { cardinal } from '../../../../shared/growth/response.ts';

const table = (pairs: [number, number][]) => pairs.map(([tempC, rate]) => ({ tempC, rate }));
/** A cardinal strain with plates that scatter by 2 % of the top rate, three at each temperature. */
const trial = [6, 10, 14, 18, 22, 25, 28, 31, 34].flatMap((tempC, place) =>
  [-1, 0.2, 0.8].map((scatter, plate) => ({
    tempC,
    rate: Math.max(0, 4 * cardinal(4, 26, 35)(tempC) + 0.08 * scatter * ((place + plate) % 2 === 0 ? 1 : -1)),
  })),
);

describe('all forms on one table', () => {
  it('come best first, and the form that made the table is found', () => {
    const outcomes = fitAll(trial);
    expect(outcomes.map(({ form }) => form).sort()).toEqual([...responseForms].sort());
    expect(outcomes[0]!.form).toBe('cardinal');
    const merits = outcomes.flatMap(({ fit }) => (fit === undefined ? [] : [fit.aicc!]));
    expect(merits).toEqual([...merits].sort((a, b) => a - b));
    expect(outcomes[0]!.fit!.r2).toBeGreaterThan(0.99);
  });

  it('R2 and AICc are what their formulas give', () => {
    const fit = fitResponse(trial, 'cardinal');
    const mean = trial.reduce((sum, { rate }) => sum + rate, 0) / trial.length;
    const squares = fit.rmse ** 2 * trial.length;
    const about = trial.reduce((sum, { rate }) => sum + (rate - mean) ** 2, 0);
    expect(fit.r2).toBeCloseTo(1 - squares / about, 12);
    // Five unknowns: three temperatures, the rate, the scatter. 2 k n / (n - k - 1) is 2 k and its correction.
    const n = trial.length;
    expect(fit.aicc).toBeCloseTo(n * Math.log(squares / n) + (2 * 5 * n) / (n - 6), 9);
  });

  it('a table that only rises is refused in each form, in words', () => {
    for (const { fit, refused } of fitAll(
      table([
        [10, 1],
        [14, 1.8],
        [18, 2.6],
        [22, 3.3],
        [26, 4.2],
      ]),
    )) {
      expect(fit).toBeUndefined();
      expect(refused).toMatch(/add rates/);
    }
  });

  it('straight rates tell a slope, not where it ends', () => {
    const straight = [8, 12, 16, 20, 24].map((tempC) => ({ tempC, rate: 0.2 * (tempC - 5) }));
    expect(fitAll(straight, ['linear'])[0]!.refused).toMatch(/upper threshold.*add rates/);
  });

  it('with too few temperatures only the forms of fewer unknowns are fitted', () => {
    const outcomes = fitAll(
      table([
        [15, 1],
        [22, 3],
        [30, 2],
      ]),
    );
    for (const { form, fit, refused } of outcomes)
      if (form === 'briere1') expect(fit?.degreesOfFreedom).toBe(0);
      else if (form !== 'linear')
        expect(refused).toMatch(/needs rates at \d or more different temperatures; found 3/);
  });

  it('where no form can be told better, the usual one comes first', () => {
    const outcomes = fitAll(
      table([
        [15, 0.9],
        [20, 2.84],
        [25, 3.35],
        [30, 2.39],
      ]),
    );
    expect(outcomes[0]!.form).toBe('cardinal');
    expect(outcomes[0]!.fit!.aicc).toBeNull();
  });
});
