import { describe, expect, it } from 'vitest';
import { fitResponse } from '../../../../shared/growth/fit.ts';
import { createResponse } from '../../../../shared/growth/response.ts';

const rows = [
  { tempC: 10, rate: 1 },
  { tempC: 16, rate: 2.1 },
  { tempC: 22, rate: 3.2 },
  { tempC: 28, rate: 3.6 },
  { tempC: 33, rate: 1.2 },
];

describe('fit of a rate table', () => {
  it('tells how well the curve meets it', () => {
    const fit = fitResponse(rows, 'cardinal');
    expect(fit).toMatchObject({ points: 5, degreesOfFreedom: 1 });
    expect(fit.rmse).toBeGreaterThan(0);
    expect(fit.rmse).toBeLessThan(0.2);
    expect(fit.parameters.map(({ name }) => name)).toEqual(['tMinC', 'tOptC', 'tMaxC', 'rateAtOptimum']);
    for (const { standardError } of fit.parameters) expect(standardError).toBeGreaterThan(0);
  });

  it('refuses too few temperatures, and replicates of one do not count twice', () => {
    expect(() => fitResponse(rows.slice(0, 3), 'cardinal')).toThrow(
      'a cardinal response has 4 unknowns and needs rates at 4 or more different temperatures; found 3',
    );
    expect(() => fitResponse([...rows.slice(0, 3), rows[0]!, rows[1]!], 'beta')).toThrow(/found 3/);
    expect(() => fitResponse([], 'linear')).toThrow(/found 0/);
    expect(fitResponse(rows.slice(0, 3), 'briere1').degreesOfFreedom).toBe(0);
  });

  it('names the row that cannot be', () => {
    const bad = (row: object) => () => fitResponse([...rows, { tempC: 20, rate: 1, ...row }], 'cardinal');
    expect(bad({ rate: -1 })).toThrow('row 6 of the rate table: rate -1 must be 0 or more');
    expect(bad({ tempC: 400 })).toThrow(/row 6.*temperature 400 degC must lie in -40 degC to 150 degC/);
    expect(bad({ sd: 0 })).toThrow(/row 6.*standard deviation 0/);
    expect(bad({ sd: 0.2 })).toThrow('in 1 of 6 rows; give it in all or none');
    expect(() =>
      fitResponse(
        rows.map((row) => ({ ...row, rate: 0 })),
        'cardinal',
      ),
    ).toThrow(/no growth/);
  });

  it('replicates narrow the standard errors', () => {
    const noisy = rows.flatMap((row) => [
      { ...row, rate: row.rate + 0.1 },
      { ...row, rate: row.rate - 0.1 },
    ]);
    const many = [...noisy, ...noisy, ...noisy];
    const error = (table: typeof rows): number =>
      fitResponse(table, 'cardinal').parameters[1]!.standardError!;
    expect(error(many)).toBeLessThan(0.7 * error(noisy));
  });

  it('takes standard deviations at their word, and leans to the rows that are sure', () => {
    const sure = rows.map((row) => ({ ...row, sd: row.tempC === 28 ? 0.01 : 0.5 }));
    const fit = fitResponse(sure, 'briere1');
    const loose = fitResponse(
      rows.map((row) => ({ ...row, sd: 0.5 })),
      'briere1',
    );
    const missAt28 = (of: typeof fit): number => Math.abs(rateAt(of, 28) - 3.6);
    expect(missAt28(fit)).toBeLessThan(0.01);
    expect(missAt28(loose)).toBeGreaterThan(0.015);
  });

  it('has no standard errors for what the table cannot tell', () => {
    // All on the straight part: where it ends is anyone's guess.
    const straight = [8, 10, 12, 14, 16].map((tempC) => ({ tempC, rate: 0.2 * (tempC - 5) }));
    const fit = fitResponse(straight, 'linear');
    expect(fit.rmse).toBeLessThan(1e-6);
    expect(fit.parameters.some(({ standardError }) => standardError === null)).toBe(true);
  });
});

const rateAt = ({ spec, rateAtOptimum }: ReturnType<typeof fitResponse>, tempC: number): number =>
  rateAtOptimum * createResponse(spec)(tempC);
