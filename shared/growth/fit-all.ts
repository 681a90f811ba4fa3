import { AppError } from '../errors.ts';
import { fitResponse, type RateRow, type ResponseFit } from './fit.ts';
import { isWithinLimits } from './response-limits.ts';
import type { Cutoff, ResponseForm } from './response-spec.ts';

/** One form fitted to a table, or why it was not. */
export type FitOutcome =
  | { form: ResponseForm; fit: ResponseFit; refused?: undefined }
  | { form: ResponseForm; fit?: undefined; refused: string };

export const responseForms: readonly ResponseForm[] = ['cardinal', 'beta', 'briere1', 'briere2', 'linear'];

const words: Record<string, string> = {
  tMinC: 'the lowest growth temperature',
  tOptC: 'the optimum',
  tMaxC: 'the highest growth temperature',
  lowerC: 'the lower threshold',
  upperC: 'the upper threshold',
  exponent: 'the exponent',
  rateAtOptimum: 'the rate at the optimum',
};
const listed = (names: readonly string[]): string => {
  const said = names.map((name) => words[name] ?? name);
  return said.length < 2 ? (said[0] ?? '') : `${said.slice(0, -1).join(', ')} and ${said.at(-1)}`;
};

/** Why a fit must not be used, in words; undefined when it may. */
function doubtOf(fit: ResponseFit, rows: readonly RateRow[]): string | undefined {
  const temperatures = rows.map(({ tempC }) => tempC);
  const lowC = Math.min(...temperatures);
  const highC = Math.max(...temperatures);
  // A threshold at the warmest rate is where the table ends, not where growth does.
  if (fit.optimumC > highC - (fit.spec.form === 'linear' ? 1e-3 : 0)) {
    const what = fit.spec.form === 'linear' ? 'its upper threshold' : 'its optimum';
    return `${what}, ${fit.optimumC.toFixed(1)} degC, is not below the warmest rate: add rates from ${highC} degC up until growth falls off`;
  }
  if (fit.untold.length > 0)
    return `this table does not tell ${listed(fit.untold)}: add rates near where growth begins and where it stops`;
  const vague = fit.parameters.filter(
    ({ name, standardError }) =>
      name.endsWith('C') && standardError !== null && standardError > (highC - lowC) / 2,
  );
  if (vague.length > 0)
    return `${listed(vague.map(({ name }) => name))} would be known only to within ${Math.round(Math.max(...vague.map(({ standardError }) => standardError!)))} K: add rates at more temperatures`;
  if (!isWithinLimits(fit.spec))
    return 'its temperatures would lie outside -40 degC to 150 degC: add rates near where growth begins and where it stops';
  return undefined;
}

/** Best first by AICc; forms that the table is too small to compare keep their order after those that it is not. */
function inOrder(a: FitOutcome, b: FitOutcome): number {
  if (a.fit === undefined || b.fit === undefined)
    return Number(a.fit === undefined) - Number(b.fit === undefined);
  if (a.fit.aicc !== null && b.fit.aicc !== null) return a.fit.aicc - b.fit.aicc;
  return Number(a.fit.aicc === null) - Number(b.fit.aicc === null);
}

/**
 * Fits several forms to one table, best first, refused ones last with the reason. The first of equals is the
 * first of `forms`: the cardinal one unless told otherwise.
 * @throws AppError 'out-of-range' for what is wrong with the table itself, whatever the form.
 */
export function fitAll(
  rows: readonly RateRow[],
  forms: readonly ResponseForm[] = responseForms,
  cutoff: Cutoff = 'horizontal',
): FitOutcome[] {
  return forms
    .map((form): FitOutcome => {
      try {
        const fit = fitResponse(rows, form, cutoff);
        const refused = doubtOf(fit, rows);
        return refused === undefined ? { form, fit } : { form, refused };
      } catch (thrown) {
        if (!(thrown instanceof AppError)) throw thrown;
        return { form, refused: thrown.message };
      }
    })
    .sort(inOrder);
}
