import type { ResponseFit } from '../../../shared/growth/fit.ts';
import { inScreenUnit, numberOf, type TemperatureUnit, type Writing, withUnit } from '../format/value.ts';
import { strain as text } from '../text/strain.ts';

/** Parameters of a fit with their standard errors, temperatures in the screen's unit: `lowest 41.3 ± 0.5 °F`. */
export const parametersOf = ({ parameters }: Pick<ResponseFit, 'parameters'>, writing: Writing): string =>
  parameters
    .map(({ name, value, standardError }) => {
      const isTemperature = name.endsWith('C');
      const error =
        isTemperature && standardError !== null ? writing.shownStep(standardError) : standardError;
      const words = [
        text.parameters[name] ?? name,
        numberOf(isTemperature ? writing.shown(value) : value, 2),
        ...(error === null ? [] : ['±', numberOf(error, 2)]),
      ].join(' ');
      return isTemperature ? withUnit(words, writing.unit) : words;
    })
    .join(', ');

/** Why nothing was fitted, as the fit says it in plain letters, in the screen's unit. */
export const fitProblem = (said: string, temperature: TemperatureUnit): string =>
  inScreenUnit(said.replaceAll(' degC', ' °C'), temperature);
