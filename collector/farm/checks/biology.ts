import { AppError } from '../../../shared/errors.ts';
import { type Container, container, type Species, species, strain } from '../../../shared/farm/schema.ts';
import { createResponse } from '../../../shared/growth/response.ts';
import type { ResponseSpec } from '../../../shared/growth/response-spec.ts';
import type { Finding } from '../../../shared/problems/explain.ts';
import type { Path } from '../../../shared/problems/walk.ts';
import { eachValid, type Found } from './each.ts';

/** Species and strains whose temperatures contradict each other, and containers no scale would show. */
export function checkBiology(raw: unknown): Finding[] {
  return [
    ...eachValid(raw, 'species/*', species).flatMap(temperatures),
    ...['species/*', 'strains/*'].flatMap((pattern) =>
      eachValid(raw, pattern, pattern === 'species/*' ? species : strain).flatMap(({ path, value }) =>
        value.response === undefined ? [] : response([...path, 'response'], value.response),
      ),
    ),
    ...eachValid(raw, 'containers/*', container).flatMap(weight),
  ];
}

function temperatures({ path, value }: Found<Species>): Finding[] {
  const { tMinC, tOptC, tMaxC, warmLimitC, heatLimitC, coldLimitC } = value;
  const findings: Finding[] = [];
  const add = (key: keyof Species, wanted: string, mend: string) =>
    findings.push({ path: [...path, key], place: 'value', found: `${key} ${value[key]}`, wanted, mend });
  if (!(tMinC < tOptC && tOptC < tMaxC))
    add('tOptC', `the optimum between tMinC ${tMinC} and tMaxC ${tMaxC}`, 'correct the three');
  else if (value.response === undefined && tOptC <= (tMinC + tMaxC) / 2)
    // The cardinal curve of Rosso et al. (1993) has no inflection otherwise.
    add(
      'tOptC',
      `an optimum above the middle of tMinC and tMaxC, ${(tMinC + tMaxC) / 2}`,
      'correct the three, as growth falls off faster above the optimum than below it, or give a response: of form beta',
    );
  if (heatLimitC <= warmLimitC)
    add('heatLimitC', `one above warmLimitC ${warmLimitC}`, 'swap or correct the two');
  if (coldLimitC !== undefined && coldLimitC >= tOptC)
    add('coldLimitC', `one below the optimum ${tOptC}`, 'correct it or leave it out');
  return findings;
}

/** A response whose numbers its form does not allow. */
function response(path: Path, spec: ResponseSpec): Finding[] {
  try {
    createResponse(spec);
    return [];
  } catch (thrown) {
    if (!(thrown instanceof AppError)) throw thrown;
    const { form, rule, ...values } = thrown.details;
    const given = Object.entries(values).map(([name, value]) => `${name} ${value}`);
    return [
      {
        path,
        place: 'key',
        found: `a ${form} response with ${given.join(', ')}`,
        wanted: String(rule),
        mend: 'correct the temperatures, or fit them to a rate table with shelfwarden fit',
      },
    ];
  }
}

/** Volume of the outline, in litres. */
function outlineL({ shape }: Container): number {
  return shape.form === 'cylinder'
    ? 250 * Math.PI * shape.diameterM ** 2 * shape.heightM
    : 1000 * shape.widthM * shape.depthM * shape.heightM;
}

function weight({ path, value }: Found<Container>): Finding[] {
  const findings: Finding[] = [];
  const density = value.massKg / value.volumeL;
  if (density < 0.1 || density > 1.6)
    findings.push({
      path: [...path, 'massKg'],
      place: 'value',
      found: `${value.massKg} kg in ${value.volumeL} L`,
      wanted: 'between 0.1 and 1.6 kg per litre, as grain and sawdust weigh',
      mend: 'check both: mass in kg, volume in litres',
    });
  const outline = outlineL(value);
  if (value.volumeL > outline * 1.5 || value.volumeL < outline / 5)
    findings.push({
      path: [...path, 'volumeL'],
      place: 'value',
      found: `${value.volumeL} L in a shape of ${Number(outline.toPrecision(3))} L`,
      wanted: 'a content that its shape can hold and mostly fills',
      mend: 'check both: volume in litres, edges and diameter in metres',
    });
  return findings;
}
