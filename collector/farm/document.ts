import { LineCounter, parseDocument, type YAMLError } from 'yaml';
import { messageOf } from '../../shared/errors.ts';
import type { Finding } from '../../shared/problems/explain.ts';
import { createLocator } from './locate.ts';
import type { Problem, Where } from './problems.ts';
import { mostAliases, structureProblems } from './structure.ts';

const largestFile = 500_000;
const mostSyntaxProblems = 20;

export interface FarmDocument {
  /** The plain values of the file. */
  readable: true;
  raw: unknown;
  problems: Problem[];
  /** Puts a finding at its line and column. */
  place(finding: Finding): Problem;
}

const farmWords = 'a farm: site, rooms, sensors';
const firstLines = 'write at least site: and rooms:';

const yamlMend: Record<string, string> = {
  TAB_AS_INDENT: 'indent with spaces, not tabs',
  BAD_INDENT: 'line the keys of one group up under each other',
  MISSING_CHAR: 'close the quote or bracket, or put a colon and a space after the key',
  MULTIPLE_DOCS: 'keep one farm in one file; remove the line ---',
  MULTILINE_IMPLICIT_KEY: 'keep a key on one line, with a colon and a space after it',
  BAD_ALIAS: 'name the anchor before using it, or write the values out',
  BLOCK_AS_IMPLICIT_KEY: 'begin the nested group on a line of its own, indented; quote text that holds ": "',
  RESOURCE_EXHAUSTION: 'remove the needless levels of nesting',
  TAG_RESOLVE_FAILED: 'remove the tag that begins with !',
};

/** One problem a line: what follows on the same line is nearly always the first one's echo. */
function syntaxProblems(errors: readonly YAMLError[], at: (offset: number) => Where): Problem[] {
  const byLine = new Map<number, Problem>();
  for (const { code, pos, message } of errors) {
    const where = at(pos[0]);
    if (byLine.has(where.line) || byLine.size === mostSyntaxProblems) continue;
    byLine.set(where.line, {
      ...where,
      found: `a line that YAML cannot read (${message.replaceAll(/\s+/g, ' ').trim()})`,
      wanted: 'plain YAML 1.2',
      mend: yamlMend[code] ?? 'compare it with the lines around it: indents, colons, quotes',
    });
  }
  return [...byLine.values()];
}

/** Parses farm-file text. Returns problems instead of throwing, whatever the text is. */
export function readDocument(
  text: string,
  file: string,
): FarmDocument | { readable: false; problems: Problem[] } {
  const lines = new LineCounter();
  const at = (offset: number): Where => {
    const { line, col } = lines.linePos(offset);
    return { file, line: Math.max(1, line), column: Math.max(1, col) };
  };
  const fails = (found: string, wanted: string, mend: string) => ({
    readable: false as const,
    problems: [{ file, line: 1, column: 1, found, wanted, mend }],
  });

  if (text.length > largestFile)
    return fails(
      `${text.length} characters`,
      `at most ${largestFile}`,
      'check that this is the farm file; data such as readings does not belong in it',
    );
  if (text.trim() === '') return fails('an empty file', farmWords, firstLines);

  try {
    const document = parseDocument(text, {
      lineCounter: lines,
      prettyErrors: false,
      merge: false,
      // Checked below: the parser compares every key with every other.
      uniqueKeys: false,
    });
    const problems = syntaxProblems([...document.errors, ...document.warnings], at);
    if (document.errors.length > 0) return { readable: false, problems };
    const { problems: structural, resolvable } = structureProblems(document, at);
    problems.push(...structural);
    if (!resolvable) return { readable: false, problems };
    if (document.contents === null) return fails('no farm, only comments', farmWords, firstLines);
    const raw: unknown = document.toJS({ maxAliasCount: mostAliases });
    const offsetOf = createLocator(document);
    const place = ({ path, place: kind, found, wanted, mend }: Finding): Problem => ({
      ...at(offsetOf(path, kind)),
      found,
      wanted,
      mend,
    });
    return { readable: true, raw, problems, place };
  } catch (thrown) {
    return fails(
      `something that YAML cannot resolve (${messageOf(thrown)})`,
      'plain values with few anchors',
      'write repeated groups out instead of pointing at them with * and &',
    );
  }
}
