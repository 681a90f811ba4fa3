import { AppError } from '../errors.ts';
import type { Species, Strain } from '../farm/schema.ts';
import { clamp } from '../stats/range.ts';
import type { Cutoff, ResponseSpec } from './response-spec.ts';

/**
 * Growth rate at a temperature as a share of the rate at the optimum, in [0, 1].
 * Every temperature has an answer: outside the limits, and for NaN, it is 0.
 */
export type Response = (tempC: number) => number;

function refuse(form: string, rule: string, values: Record<string, number>): never {
  const found = Object.entries(values).map(([name, value]) => `${name} ${value}`);
  throw new AppError('out-of-range', `${form} response needs ${rule}; found ${found.join(', ')} (degC)`, {
    details: { form, rule, ...values },
  });
}

/**
 * Cardinal temperature model with inflection; Rosso, Lobry & Flandrois 1993, J. Theor. Biol. 162:447-463.
 * @throws AppError 'out-of-range' unless (tMin + tMax) / 2 < tOpt < tMax: elsewhere its denominator vanishes
 * inside the range of growth.
 */
export function cardinal(tMinC: number, tOptC: number, tMaxC: number): Response {
  if (!(tOptC > (tMinC + tMaxC) / 2 && tOptC < tMaxC && Number.isFinite(tMinC)))
    refuse('cardinal', '(Tmin + Tmax) / 2 < Topt < Tmax', { Tmin: tMinC, Topt: tOptC, Tmax: tMaxC });
  const below = tOptC - tMinC;
  return (tempC) => {
    if (!(tempC > tMinC && tempC < tMaxC)) return 0;
    const above = tempC - tMinC;
    const top = (tempC - tMaxC) * above * above;
    const bottom = below * (below * (tempC - tOptC) - (tOptC - tMaxC) * (tOptC + tMinC - 2 * tempC));
    return clamp(top / bottom, 0, 1);
  };
}

/**
 * Beta function; Yan & Hunt 1999, Annals of Botany 84:607-614, with a minimum other than zero.
 * @throws AppError 'out-of-range' unless tMin < tOpt < tMax.
 */
export function betaYanHunt(tMinC: number, tOptC: number, tMaxC: number): Response {
  if (!(tMinC < tOptC && tOptC < tMaxC))
    refuse('beta', 'Tmin < Topt < Tmax', { Tmin: tMinC, Topt: tOptC, Tmax: tMaxC });
  const rise = tOptC - tMinC;
  const fall = tMaxC - tOptC;
  return (tempC) => {
    if (!(tempC > tMinC && tempC < tMaxC)) return 0;
    return clamp(((tMaxC - tempC) / fall) * ((tempC - tMinC) / rise) ** (rise / fall), 0, 1);
  };
}

/** T (T - Tmin) (Tmax - T)^(1/m): Briere's curve before its scale; zero outside the limits. */
export const briereShape = (tempC: number, tMinC: number, tMaxC: number, exponent: number): number =>
  tempC > tMinC && tempC < tMaxC ? tempC * (tempC - tMinC) * (tMaxC - tempC) ** (1 / exponent) : 0;

/** Optimum of Briere's curve [°C]; Briere et al. 1999, Environmental Entomology 28:22-29. */
export function briereOptimumC(tMinC: number, tMaxC: number, exponent: number): number {
  const m = exponent;
  const root = Math.sqrt(
    4 * m * m * tMaxC * tMaxC + (m + 1) ** 2 * tMinC * tMinC - 4 * m * m * tMinC * tMaxC,
  );
  return (2 * m * tMaxC + (m + 1) * tMinC + root) / (4 * m + 2);
}

/**
 * Briere-2, scaled to 1 at its optimum; Briere et al. 1999.
 * @throws AppError 'out-of-range' unless 0 <= tMin < tMax (the curve has T itself as a factor) and m >= 0.2.
 */
export function briere2(tMinC: number, tMaxC: number, exponent: number): Response {
  if (!(tMinC >= 0 && tMinC < tMaxC && exponent >= 0.2))
    refuse('Briere', '0 <= Tmin < Tmax and exponent >= 0.2', { Tmin: tMinC, Tmax: tMaxC, exponent });
  const top = briereShape(briereOptimumC(tMinC, tMaxC, exponent), tMinC, tMaxC, exponent);
  return (tempC) => clamp(briereShape(tempC, tMinC, tMaxC, exponent) / top, 0, 1);
}

/** Briere-1: the same with exponent 2. */
export const briere1 = (tMinC: number, tMaxC: number): Response => briere2(tMinC, tMaxC, 2);

/**
 * Straight from 0 at the lower threshold to 1 at the upper one, the rate behind degree-days. Above it: 1
 * (horizontal), 0 (vertical), or falling as steeply as it rose (intermediate).
 * @throws AppError 'out-of-range' unless lower < upper.
 */
function linearThresholds(lowerC: number, upperC: number, cutoff: Cutoff): Response {
  if (!(lowerC < upperC)) refuse('linear', 'lower < upper', { lower: lowerC, upper: upperC });
  const span = upperC - lowerC;
  return (tempC) => {
    if (!(tempC > lowerC)) return 0;
    if (tempC <= upperC) return (tempC - lowerC) / span;
    if (cutoff === 'horizontal') return 1;
    return cutoff === 'vertical' ? 0 : Math.max(0, 1 - (tempC - upperC) / span);
  };
}

/** @throws AppError 'out-of-range' for parameters that the form does not allow, with the rule. */
export function createResponse(spec: ResponseSpec): Response {
  switch (spec.form) {
    case 'cardinal':
      return cardinal(spec.tMinC, spec.tOptC, spec.tMaxC);
    case 'beta':
      return betaYanHunt(spec.tMinC, spec.tOptC, spec.tMaxC);
    case 'briere1':
      return briere1(spec.tMinC, spec.tMaxC);
    case 'briere2':
      return briere2(spec.tMinC, spec.tMaxC, spec.exponent);
    case 'linear':
      return linearThresholds(spec.lowerC, spec.upperC, spec.cutoff);
  }
}

/** The response that a strain is forecast with: its own, else its species', else the cardinal one. */
export const responseSpecOf = (
  species: Pick<Species, 'response' | 'tMinC' | 'tOptC' | 'tMaxC'>,
  strain?: Pick<Strain, 'response'>,
): ResponseSpec => {
  const { tMinC, tOptC, tMaxC } = species;
  return strain?.response ?? species.response ?? { form: 'cardinal', tMinC, tOptC, tMaxC };
};
