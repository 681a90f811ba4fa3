import { Document, isMap } from 'yaml';
import { type Species, species as speciesSchema, strain as strainSchema } from '../../shared/farm/schema.ts';
import type { ResponseFit } from '../../shared/growth/fit.ts';
import { createResponse } from '../../shared/growth/response.ts';
import type { ResponseSpec } from '../../shared/growth/response-spec.ts';

const rounded = (value: number, digits: number): number => Number(value.toFixed(digits));

/** Parameters to 0.01, as many digits as any trial tells; checked to be allowed still. */
function roundedSpec(spec: ResponseSpec): ResponseSpec {
  const short = Object.fromEntries(
    Object.entries(spec).map(([key, value]) => [key, typeof value === 'number' ? rounded(value, 2) : value]),
  ) as ResponseSpec;
  createResponse(short);
  return short;
}

/** Text of a farm file's group with one entry; responses and support in one line each. */
function groupText(group: string, entry: object): string {
  const document = new Document({ [group]: [entry] });
  const node = document.getIn([group, 0], true);
  if (isMap(node)) {
    const response = node.get('response', true);
    if (isMap(response)) response.flow = true;
  }
  return document.toString({ lineWidth: 0 });
}

export interface StrainEntry {
  id: string;
  species: Pick<Species, 'id' | 'rateMmPerDay'>;
  fit: ResponseFit;
  /** The trial was on grain: its rate says how fast the strain is. */
  onGrain: boolean;
}

/** A `strains:` group for the farm file, ready to paste. */
export function strainText({ id, species, fit, onGrain }: StrainEntry): string {
  const factor = rounded(fit.rateAtOptimum / species.rateMmPerDay, 2);
  const entry = strainSchema.parse({
    id,
    name: id.charAt(0).toUpperCase() + id.slice(1).replaceAll('-', ' '),
    species: species.id,
    ...(onGrain ? { rateFactor: factor } : {}),
    response: roundedSpec(fit.spec),
  });
  const { rateFactor, ...rest } = entry;
  return groupText('strains', onGrain ? { ...rest, rateFactor } : rest);
}

export interface SpeciesEntry {
  species: Species;
  fit: ResponseFit;
  onGrain: boolean;
  /** What the numbers rest on: the table's name and size. */
  source: string;
}

/** Lowest, best and highest growth temperature that a response says; a form without one keeps the species'. */
function cardinals(spec: ResponseSpec, optimumC: number, { tOptC, tMaxC }: Species) {
  if (spec.form === 'linear') return { tMinC: spec.lowerC, tOptC, tMaxC };
  return { tMinC: spec.tMinC, tOptC: rounded(optimumC, 2), tMaxC: spec.tMaxC };
}

/** A `species:` group that stands in for the given one, with the fitted numbers and their source. */
export function speciesText({ species, fit, onGrain, source }: SpeciesEntry): string {
  const spec = roundedSpec(fit.spec);
  const fitted = spec.form === 'linear' ? ['tMinC'] : ['tMinC', 'tOptC', 'tMaxC'];
  const { response: _, support, ...kept } = species;
  const entry = speciesSchema.parse({
    ...kept,
    ...cardinals(spec, fit.optimumC, species),
    ...(onGrain ? { rateMmPerDay: rounded(fit.rateAtOptimum, 2) } : {}),
    ...(spec.form === 'cardinal' ? {} : { response: spec }),
    support: {
      ...support,
      ...Object.fromEntries([...fitted, ...(onGrain ? ['rateMmPerDay'] : [])].map((key) => [key, source])),
    },
  });
  return groupText('species', entry);
}
