import { AppError } from '../errors.ts';
import {
  curvatureOf,
  type LeastSquares,
  leastSquares,
  type Residuals,
  slopesOf,
} from '../stats/least-squares.ts';
import { invert } from '../stats/linear.ts';
import { type FitForm, fitForm } from './fit-forms.ts';
import { createResponse } from './response.ts';
import type { Cutoff, ResponseForm, ResponseSpec } from './response-spec.ts';

/** One line of a growth trial. */
export interface RateRow {
  tempC: number;
  /** Radial growth, or any other rate, 0 or more; unit as the table has it. */
  rate: number;
  /** Standard deviation of that rate; give it for all rows or none. */
  sd?: number | undefined;
}

export interface FitParameter {
  name: string;
  value: number;
  /** Null when the table cannot tell: as many parameters as points, or two of them act alike. */
  standardError: number | null;
}

export interface ResponseFit {
  spec: ResponseSpec;
  /** Rate at the optimum, unit as the table has it. */
  rateAtOptimum: number;
  optimumC: number;
  parameters: FitParameter[];
  /** Root mean square of what the curve misses, unit as the table has it. */
  rmse: number;
  /** Share of the scatter about the mean rate that the curve takes away (weighted where rows have an sd); null when they are all alike. */
  r2: number | null;
  /**
   * Akaike's criterion for small samples, to compare forms on one table: lower is better (Hurvich & Tsai 1989,
   * Biometrika 76:297-307; from memory). Null with too few points for its correction.
   */
  aicc: number | null;
  /** Parameters that this table does not tell apart; empty when it tells them all. */
  untold: string[];
  points: number;
  degreesOfFreedom: number;
}

/** Factor on a parameter's variance by what it shares with the others, from which on the table does not tell it. */
const mostInflation = 1e8;

function checkTable(rows: readonly RateRow[], needed: number, form: ResponseForm): void {
  rows.forEach(({ tempC, rate, sd }, index) => {
    const where = `row ${index + 1} of the rate table`;
    if (!(tempC >= -40 && tempC <= 150))
      throw new AppError(
        'out-of-range',
        `${where}: temperature ${tempC} degC must lie in -40 degC to 150 degC`,
      );
    if (!(rate >= 0 && rate < Number.POSITIVE_INFINITY))
      throw new AppError('out-of-range', `${where}: rate ${rate} must be 0 or more`);
    if (sd !== undefined && !(sd > 0 && sd < Number.POSITIVE_INFINITY))
      throw new AppError('out-of-range', `${where}: standard deviation ${sd} must be above 0, or left out`);
  });
  const withSd = rows.filter((row) => row.sd !== undefined).length;
  if (withSd !== 0 && withSd !== rows.length)
    throw new AppError(
      'out-of-range',
      `the rate table has a standard deviation in ${withSd} of ${rows.length} rows; give it in all or none`,
    );
  const temperatures = new Set(rows.map((row) => row.tempC)).size;
  if (temperatures < needed)
    throw new AppError(
      'out-of-range',
      `a ${form} response has ${needed} unknowns and needs rates at ${needed} or more different temperatures; found ${temperatures}`,
      { details: { form, needed, temperatures } },
    );
  if (!rows.some((row) => row.rate > 0))
    throw new AppError('out-of-range', 'the rate table shows no growth at any temperature; nothing to fit');
}

type Curve = (tempC: number) => number;
/** The curve of natural parameters with the rate at the optimum last. */
function curveOf({ spec }: FitForm, natural: readonly number[]): Curve {
  const response = createResponse(spec(natural));
  const rate = natural[natural.length - 1]!;
  return (tempC) => rate * response(tempC);
}

/** Free numbers, with ln rate last, to natural ones. */
const toNatural = (form: FitForm, free: readonly number[]): number[] => [
  ...form.natural(free.slice(0, -1)),
  Math.exp(free[free.length - 1]!),
];

/** What the curve of natural parameters misses, in standard deviations of the rows. */
const missesOf =
  (form: FitForm, rows: readonly RateRow[]): Residuals =>
  (natural) => {
    try {
      const curve = curveOf(form, natural);
      return rows.map(({ tempC, rate, sd = 1 }) => (curve(tempC) - rate) / sd);
    } catch (thrown) {
      // The search stepped to numbers that overflow or touch the edge of what the form allows.
      if (thrown instanceof AppError) return rows.map(() => Number.NaN);
      throw thrown;
    }
  };

/** Best of searches from every starting point: one alone can end where a point has fallen off the curve. */
function search(form: FitForm, rows: readonly RateRow[]): number[] {
  const best = rows.reduce((most, row) => (row.rate > most.rate ? row : most));
  const growing = rows.filter((row) => row.rate > 0.02 * best.rate).map((row) => row.tempC);
  const starts = form.starts({
    lowC: Math.min(...growing),
    highC: Math.max(...growing),
    bestC: best.tempC,
  });
  const misses = missesOf(form, rows);
  const searchFrom = (start: readonly number[], rounds: number): LeastSquares =>
    leastSquares((free) => misses(toNatural(form, free)), start, rounds);
  const bySquares = (a: LeastSquares, b: LeastSquares): number => a.squares - b.squares;
  // Where do the starts stand, a short look from the better ones, then the whole way from the best.
  const found = starts
    .flatMap((start) => [1, 1.2].map((factor) => searchFrom([...start, Math.log(best.rate * factor)], 0)))
    .sort(bySquares)
    .slice(0, 16)
    .map(({ parameters }) => searchFrom(parameters, 10))
    .sort(bySquares)
    .slice(0, 3)
    .map(({ parameters }) => searchFrom(parameters, 300))
    .sort(bySquares)[0]!;
  if (!Number.isFinite(found.squares))
    throw new AppError(
      'out-of-range',
      'no response of this form comes near the rate table; try another form',
    );
  return toNatural(form, found.parameters);
}

interface Certainty {
  standardErrors: (number | null)[];
  told: boolean[];
}

/**
 * Standard errors from the curvature at the best fit. Without standard deviations in the table the scatter
 * about the curve stands for them; with them they are taken at their word, and widened where the scatter
 * is larger than they allow.
 */
function certaintyOf(form: FitForm, rows: readonly RateRow[], natural: readonly number[]): Certainty {
  const unknown = natural.map(() => null);
  const misses = missesOf(form, rows);
  const curvature = curvatureOf(slopesOf(misses, natural, 1e-5));
  const finite = curvature.flat().every(Number.isFinite);
  const inverse = finite ? invert(curvature) : null;
  if (inverse === null) return { standardErrors: unknown, told: aloneTold(curvature) };
  const told = inverse.map((row, index) => row[index]! * curvature[index]![index]! < mostInflation);

  const freedom = rows.length - natural.length;
  const given = rows[0]!.sd !== undefined;
  if (!given && freedom === 0) return { standardErrors: unknown, told };
  const squares = squaresOf(misses(natural));
  const scatter = freedom > 0 ? squares / freedom : 1;
  const variance = given ? Math.max(1, scatter) : scatter;
  const standardErrors = inverse.map((row, index) => Math.sqrt(Math.max(0, row[index]! * variance)));
  return { standardErrors, told };
}

/** A singular table tells none of the parameters that move the curve together; one that moves nothing is told least. */
const aloneTold = (curvature: readonly number[][]): boolean[] => {
  const still = curvature.map((row, index) => !(row[index]! > 0));
  return still.some(Boolean) ? still.map((one) => !one) : still;
};

const squaresOf = (values: ArrayLike<number>): number =>
  Array.from(values).reduce((sum, value) => sum + value * value, 0);

/** R2 and AICc of a fit; `unknowns` without the scatter, which is one more where the table gives no sd. */
function meritsOf(
  form: FitForm,
  rows: readonly RateRow[],
  natural: readonly number[],
): Pick<ResponseFit, 'r2' | 'aicc'> {
  const squares = squaresOf(missesOf(form, rows)(natural));
  const weights = rows.map(({ sd = 1 }) => 1 / sd ** 2);
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = rows.reduce((sum, { rate }, index) => sum + rate * weights[index]!, 0) / total;
  const about = rows.reduce((sum, { rate }, index) => sum + weights[index]! * (rate - mean) ** 2, 0);
  const given = rows[0]!.sd !== undefined;
  const unknowns = natural.length + (given ? 0 : 1);
  const left = rows.length - unknowns - 1;
  const deviance = given ? squares : rows.length * Math.log(squares / rows.length);
  return {
    r2: about > 0 ? 1 - squares / about : null,
    aicc:
      left > 0 && Number.isFinite(deviance)
        ? deviance + 2 * unknowns + (2 * unknowns * (unknowns + 1)) / left
        : null,
  };
}

/**
 * Fits a temperature response and its rate at the optimum to a table of growth rates by (weighted) least
 * squares, Levenberg-Marquardt from several starts. As many points as unknowns are enough for a curve but
 * not for standard errors.
 * @param cutoff for the linear form only
 * @throws AppError 'out-of-range' for a bad row (by number), too few temperatures, or a table without growth.
 */
export function fitResponse(
  rows: readonly RateRow[],
  form: ResponseForm,
  cutoff: Cutoff = 'horizontal',
): ResponseFit {
  const recipe = fitForm(form, cutoff);
  const names = [...recipe.names, 'rateAtOptimum'];
  checkTable(rows, names.length, form);
  const natural = search(recipe, rows);
  const curve = curveOf(recipe, natural);
  const { standardErrors, told } = certaintyOf(recipe, rows, natural);
  const squares = rows.reduce((sum, { tempC, rate }) => sum + (rate - curve(tempC)) ** 2, 0);
  return {
    spec: recipe.spec(natural),
    rateAtOptimum: natural[natural.length - 1]!,
    optimumC: recipe.optimumC(natural),
    parameters: names.map((name, index) => ({
      name,
      value: natural[index]!,
      standardError: standardErrors[index]!,
    })),
    rmse: Math.sqrt(squares / rows.length),
    ...meritsOf(recipe, rows, natural),
    untold: names.filter((_, index) => !told[index]),
    points: rows.length,
    degreesOfFreedom: rows.length - names.length,
  };
}
