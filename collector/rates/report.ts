import type { ResponseFit } from '../../shared/growth/fit.ts';
import type { FitOutcome } from '../../shared/growth/fit-all.ts';
import type { ResponseForm } from '../../shared/growth/response-spec.ts';

/** Names of the forms with the papers that they are from. */
export const formNames: Record<ResponseForm, string> = {
  cardinal: 'cardinal (Rosso et al. 1993)',
  beta: 'beta (Yan & Hunt 1999)',
  briere1: 'Briere-1 (1999)',
  briere2: 'Briere-2 (1999)',
  linear: 'linear with thresholds',
};

/** A parameter's value, and its standard error with two digits where known. */
function valueText({ name, value, standardError }: ResponseFit['parameters'][number]): string {
  const unit = name.endsWith('C') ? ' °C' : '';
  const digits =
    standardError === null || standardError === 0
      ? 2
      : Math.max(0, Math.min(4, 1 - Math.floor(Math.log10(standardError))));
  const error = standardError === null ? '' : ` ± ${standardError.toFixed(digits)}`;
  return `${name} ${value.toFixed(digits)}${error}${unit}`;
}

function fitLines({ fit, form }: FitOutcome & { fit: ResponseFit }): string[] {
  const { r2, aicc, rmse, degreesOfFreedom } = fit;
  const merits = [
    `misses by ${rmse.toPrecision(2)}`,
    r2 === null ? undefined : `R² ${r2.toFixed(4)}`,
    aicc === null ? undefined : `AICc ${aicc.toFixed(1)}`,
    `optimum ${fit.optimumC.toFixed(1)} °C`,
  ];
  return [
    `${formNames[form]}: ${merits.filter(Boolean).join(', ')}`,
    `    ${fit.parameters.map(valueText).join(', ')}`,
    ...(degreesOfFreedom === 0
      ? ['    as many unknowns as rates: the curve meets every rate, and nothing tells its errors']
      : []),
  ];
}

/** What was fitted and what was refused, best first. */
export function reportText(outcomes: readonly FitOutcome[]): string {
  const lines = outcomes.flatMap((outcome) =>
    outcome.fit === undefined
      ? [`${formNames[outcome.form]}: not fitted; ${outcome.refused}`]
      : fitLines(outcome),
  );
  const fitted = outcomes.filter(({ fit }) => fit !== undefined);
  if (fitted.length > 1 && fitted.every(({ fit }) => fit?.aicc === null))
    lines.push('Too few rates to say which form is better: the first is the usual one.');
  return lines.join('\n');
}
