import { readFileSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import { AppError, messageOf } from '../../shared/errors.ts';
import type { ResponseFit } from '../../shared/growth/fit.ts';
import { type FitOutcome, fitAll, responseForms } from '../../shared/growth/fit-all.ts';
import { createResponse } from '../../shared/growth/response.ts';
import { cutoff as cutoffSchema } from '../../shared/growth/response-spec.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import { speciesText, strainText } from '../rates/entry.ts';
import { parseRates, type RateTable } from '../rates/rate-table.ts';
import { formNames, reportText } from '../rates/report.ts';
import { svgPlot } from '../rates/svg-plot.ts';
import { textPlot } from '../rates/text-plot.ts';
import { readFarmFile } from './check.ts';
import { type Command, type OptionValues, text } from './command.ts';

const help = `shelfwarden fit RATES.csv [options]

Fits temperature responses to a table of growth rates, such as plate trials, by least squares: cardinal,
beta, Briere 1 and 2, and linear with thresholds, best first. Prints parameters with standard errors, a
plot, and the entry for the farm file. Says of each form that the table cannot tell why not.

RATES.csv has a header with temperature and rate, in any order, and sd (standard deviation) if known;
several lines of one temperature are replicates. Degrees Fahrenheit by a header such as temperature_F.

  --form NAME        only this form: ${responseForms.join(', ')}
  --cutoff NAME      linear above its upper threshold: horizontal (default), vertical, intermediate
  --species ID       species that the strain belongs to, or that the entry stands for (default: oyster)
  --strain ID        id of the strain in the entry (default: my-strain)
  --entry KIND       strain (default) or species
  --on-grain         the rates are mm/d on grain, so they also say how fast it grows there
  --farm FARM.yaml   look the species up in this farm file too
  --plot FILE.svg    draw the fits into a file instead of in text
  --temperature, --rate, --sd NAME   columns of other names;  --fahrenheit   temperatures in degF
  --json             everything as JSON`;

function oneOf<T extends string>(values: OptionValues, name: string, allowed: readonly T[]): T | undefined {
  const given = text(values, name);
  if (given === undefined) return undefined;
  const found = allowed.find((one) => one === given);
  if (found !== undefined) return found;
  throw new AppError('bad-request', `--${name} is ${given}; it must be one of ${allowed.join(', ')}`);
}

function readTable(path: string, values: OptionValues): RateTable {
  let content: string;
  try {
    content = readFileSync(path, 'utf8');
  } catch (thrown) {
    throw new AppError(
      'bad-request',
      `${path} cannot be read (${messageOf(thrown)}); name an existing table of rates.`,
      {
        cause: thrown,
      },
    );
  }
  const parsed = parseRates(content, basename(path), {
    temperature: text(values, 'temperature'),
    rate: text(values, 'rate'),
    sd: text(values, 'sd'),
    fahrenheit: values.fahrenheit === true,
  });
  if (parsed.ok) return parsed.table;
  throw new AppError('out-of-range', parsed.problems.join('\n'));
}

function speciesFor(values: OptionValues) {
  const farmPath = text(values, 'farm');
  const known = farmPath === undefined ? builtInSpecies : [...readFarmFile(farmPath).farm.species.values()];
  const id = text(values, 'species') ?? 'oyster';
  const found = known.find((one) => one.id === id);
  if (found !== undefined) return found;
  throw new AppError(
    'bad-request',
    `there is no species ${id}; known are ${known.map((one) => one.id).join(', ')}`,
  );
}

/** Entry for the farm file, from the best fit. */
function entryText(fit: ResponseFit, table: RateTable, file: string, values: OptionValues): string {
  const species = speciesFor(values);
  const onGrain = values['on-grain'] === true;
  if ((oneOf(values, 'entry', ['strain', 'species'] as const) ?? 'strain') === 'strain')
    return strainText({ id: text(values, 'strain') ?? 'my-strain', species, fit, onGrain });
  const temperatures = new Set(table.rows.map(({ tempC }) => tempC)).size;
  const source = `own trial: ${file}, ${table.rows.length} rates at ${temperatures} temperatures, fitted`;
  return speciesText({ species, fit, onGrain, source });
}

const curveOf = ({ spec, rateAtOptimum }: ResponseFit): ((tempC: number) => number) => {
  const response = createResponse(spec);
  return (tempC) => rateAtOptimum * response(tempC);
};

function drawInto(path: string, file: string, table: RateTable, outcomes: readonly FitOutcome[]): void {
  const curves = outcomes.flatMap(({ form, fit }) =>
    fit === undefined ? [] : [{ label: formNames[form], rateAt: curveOf(fit) }],
  );
  try {
    writeFileSync(path, svgPlot(`Growth rates of ${file}`, table.rows, curves));
  } catch (thrown) {
    throw new AppError('bad-request', `the plot cannot be written to ${path} (${messageOf(thrown)})`, {
      cause: thrown,
    });
  }
}

const option = { type: 'string' } as const;
const flag = { type: 'boolean' } as const;

export const fitCommand: Command = {
  name: 'fit',
  summary: 'fit temperature responses to a table of growth rates',
  help,
  options: {
    form: option,
    cutoff: option,
    species: option,
    strain: option,
    entry: option,
    'on-grain': flag,
    farm: option,
    plot: option,
    temperature: option,
    rate: option,
    sd: option,
    fahrenheit: flag,
    json: flag,
  },
  async run(values, [path, ...rest]) {
    if (path === undefined || rest.length > 0)
      throw new AppError('bad-request', 'fit needs one table of rates: shelfwarden fit RATES.csv');
    const file = basename(path);
    const table = readTable(path, values);
    const form = oneOf(values, 'form', responseForms);
    const cutoff = oneOf(values, 'cutoff', cutoffSchema.options) ?? 'horizontal';
    const outcomes = fitAll(table.rows, form === undefined ? responseForms : [form], cutoff);
    const best = outcomes[0]?.fit;
    const entry = best === undefined ? null : entryText(best, table, file, values);
    const plot = text(values, 'plot');
    if (plot !== undefined && best !== undefined) drawInto(plot, file, table, outcomes);

    if (values.json === true)
      console.log(
        JSON.stringify({ file, rows: table.rows, best: best?.spec ?? null, fits: outcomes, entry }),
      );
    else {
      console.log(`${file}: ${table.rows.length} rates${table.fahrenheit ? ', temperatures in degF' : ''}\n`);
      console.log(reportText(outcomes));
      if (best !== undefined && entry !== null) {
        console.log(
          plot === undefined ? `\n${textPlot(table.rows, curveOf(best))}` : `\nDrawn into ${plot}.`,
        );
        console.log(`\nFor the farm file:\n\n${entry}`);
        if (values['on-grain'] !== true)
          console.log(
            'Rates on agar differ from those on grain, so only the shape is taken over; --on-grain takes the rate too.',
          );
      }
    }
    return best === undefined ? 1 : 0;
  },
};
