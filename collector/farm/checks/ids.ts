import { outsidePlace } from '../../../shared/farm/farm.ts';
import { limits } from '../../../shared/farm/limits-schema.ts';
import { type Finding, foundWords } from '../../../shared/problems/explain.ts';
import { nearest } from '../../../shared/problems/nearest.ts';
import { eachText, type Found } from './each.ts';

const shelfIds = 'rooms/*/racks/*/shelves/*/id';

/** Names that must differ, and where they are given. Shelves and rooms share one set: `at` names either. */
const distinct: { what: string; patterns: string[] }[] = [
  { what: 'room or shelf', patterns: ['rooms/*/id', shelfIds] },
  { what: 'rack', patterns: ['rooms/*/racks/*/id'] },
  { what: 'sensor', patterns: ['sensors/*/id'] },
  { what: 'container', patterns: ['containers/*/id'] },
  { what: 'species', patterns: ['species/*/id'] },
  { what: 'strain', patterns: ['strains/*/id'] },
  { what: 'person', patterns: ['people/*/id'] },
  { what: 'route', patterns: ['routes/*/id'] },
  { what: 'webhook', patterns: ['webhooks/*/id'] },
];

function duplicates(raw: unknown, { what, patterns }: (typeof distinct)[number]): Finding[] {
  const seen = new Set<string>();
  return patterns
    .flatMap((pattern) => eachText(raw, pattern))
    .flatMap(({ path, value }): Finding[] => {
      if (!seen.has(value)) {
        seen.add(value);
        return [];
      }
      const mend = `give one of them another id`;
      return [
        {
          path,
          place: 'value',
          found: `a second ${what} ${foundWords(value)}`,
          wanted: 'an id of its own',
          mend,
        },
      ];
    });
}

function unknown(
  references: Found<string>[],
  known: Set<string>,
  what: string,
  whereDefined: string,
): Finding[] {
  return references
    .filter(({ value }) => !known.has(value))
    .map(({ path, value }) => {
      const meant = nearest(value, known);
      const mend = meant === undefined ? `add it under ${whereDefined} or name another` : `write ${meant}`;
      const listed = known.size > 0 && known.size <= 12 ? ` (${[...known].join(', ')})` : '';
      return {
        path,
        place: 'value',
        found: `${foundWords(value)}, which is no ${what}`,
        wanted: `a ${what} of this file${listed}`,
        mend,
      };
    });
}

/** The one place that is no room; a room of that name could not be told from it. */
const reserved = (raw: unknown): Finding[] =>
  ['rooms/*/id', shelfIds]
    .flatMap((pattern) => eachText(raw, pattern))
    .filter(({ value }) => value === outsidePlace)
    .map(({ path }) => ({
      ...{ path, place: 'value' as const, found: `${foundWords(outsidePlace)} as the id of a room or shelf` },
      wanted: `another id: sensors that hang ${outsidePlace} have at: ${outsidePlace}`,
      mend: 'give it another id',
    }));

/** Ids that are given twice, and references to what is not there. */
export function checkIds(raw: unknown, builtInSpecies: readonly { id: string }[]): Finding[] {
  const ids = (...patterns: string[]) =>
    new Set(patterns.flatMap((p) => eachText(raw, p).map(({ value }) => value)));
  const species = new Set([...builtInSpecies.map(({ id }) => id), ...ids('species/*/id')]);
  return [
    ...distinct.flatMap((kind) => duplicates(raw, kind)),
    ...unknown(
      eachText(raw, 'sensors/*/at').filter(({ value }) => value !== outsidePlace),
      ids('rooms/*/id', shelfIds),
      'room or shelf',
      'rooms',
    ),
    ...reserved(raw),
    ...unknown(eachText(raw, 'strains/*/species'), species, 'species', 'species'),
    ...unknown(eachText(raw, 'notify/*'), ids('people/*/id'), 'person', 'people'),
    ...unknown(eachText(raw, 'routes/*/steps/*/tell/*'), ids('people/*/id'), 'person', 'people'),
    ...unknown(eachText(raw, 'digest/to/*'), ids('people/*/id'), 'person', 'people'),
    ...unknown(
      eachText(raw, 'people/*/channels/*').filter(({ value }) => value !== 'email'),
      ids('webhooks/*/id'),
      'webhook',
      'webhooks',
    ),
    ...unknown(routesOfLimits(raw), ids('routes/*/id'), 'route', 'routes'),
  ];
}

const routesOfLimits = (raw: unknown): Found<string>[] =>
  ['rooms/*/limits', 'rooms/*/racks/*/shelves/*/limits'].flatMap((place) =>
    Object.keys(limits.shape).flatMap((measure) => eachText(raw, `${place}/${measure}/route`)),
  );
