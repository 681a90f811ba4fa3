import { type Document, isAlias, isCollection, visit } from 'yaml';
import { keyText, startOf } from './locate.ts';
import type { Problem, Where } from './problems.ts';

/** How often one anchor may be repeated through others, so that a few lines cannot grow into gigabytes. */
export const mostAliases = 200;

/**
 * Duplicate keys, unknown anchors, and more aliases than a farm needs; `resolvable` says whether plain
 * values can be made of the document. The parser's own checks of these cost the square of the size.
 */
export function structureProblems(document: Document, at: (offset: number) => Where) {
  const problems: Problem[] = [];
  let aliases = 0;
  let resolvable = true;
  visit(document, {
    Alias(_, node) {
      aliases += 1;
      if (aliases <= mostAliases && node.resolve(document) === undefined) {
        resolvable = false;
        problems.push({
          ...at(startOf(node, 0)),
          found: `*${node.source.slice(0, 60)}, which no & names before it`,
          wanted: 'an anchor of this file',
          mend: 'write the values out',
        });
      }
      if (aliases === mostAliases + 1)
        problems.push({
          ...at(startOf(node, 0)),
          found: `more than ${mostAliases} references with *`,
          wanted: 'few or none',
          mend: 'write repeated groups out instead of pointing at them with * and &',
        });
    },
    Map(_, group) {
      const first = new Map<string, Where>();
      for (const { key } of group.items) {
        if (isCollection(key) || isAlias(key)) {
          resolvable = false;
          problems.push({
            ...at(startOf(key, 0)),
            found: 'brackets, braces or * where a key should be',
            wanted: 'a plain word as the key',
            mend: 'write a word, and quote text that begins with { [ or *',
          });
          continue;
        }
        const name = keyText(key);
        const where = at(startOf(key, 0));
        const earlier = first.get(name);
        if (earlier === undefined) first.set(name, where);
        else
          problems.push({
            ...where,
            found: `the key ${name.slice(0, 60)} again (first on line ${earlier.line})`,
            wanted: 'each key once in its group',
            mend: 'keep one of the two and remove the other',
          });
      }
    },
  });
  return { problems, resolvable: resolvable && aliases <= mostAliases };
}
