import { isMap, isScalar, isSeq, type Node, type Pair, parseDocument, type YAMLMap } from 'yaml';
import { AppError } from '../../shared/errors.ts';
import type { Path } from '../../shared/problems/walk.ts';
import { keyText } from './locate.ts';

/** A value that an edit may write: a number, text, a switch. */
export type Plain = number | string | boolean;
interface Splice {
  from: number;
  to: number;
  text: string;
}
type Ranged = Node & { range: [number, number, number] };

/**
 * Sets one value in YAML text, or takes it out (`undefined`), touching nothing else: comments, order,
 * quotes and blank lines stay byte for byte. Missing groups on the way are added; a group that loses its
 * last key goes with it. Text without the value that is to go is returned as it is.
 * @throws AppError 'conflict' where the text does not allow it: an alias on the way, a value where a group
 * should be, a list item that is not there.
 */
export function editYaml(text: string, path: Path, value: Plain | undefined): string {
  const contents = parseDocument(text, { uniqueKeys: false, logLevel: 'silent' }).contents;
  const splice = value === undefined ? removal(text, contents, path) : setting(text, contents, path, value);
  return splice === undefined ? text : text.slice(0, splice.from) + splice.text + text.slice(splice.to);
}

const refuse = (path: Path, why: string): AppError =>
  new AppError(
    'conflict',
    `${path.join('.')} cannot be changed from here: ${why}. Change it in the farm file by hand.`,
  );

const pairOf = (group: YAMLMap, step: string | number): Pair | undefined =>
  group.items.find(({ key }) => keyText(key) === String(step));

const isNothing = (node: unknown): boolean => node === null || (isScalar(node) && node.value === null);

/** The text of a value, or of the groups around it on one line. */
function written(steps: Path, value: Plain): string {
  const plain = typeof value === 'string' ? JSON.stringify(value) : String(value);
  return steps.reduceRight<string>((inner, step) => `{ ${step}: ${inner} }`, plain);
}

function setting(text: string, root: unknown, path: Path, value: Plain): Splice {
  let node = root;
  for (const [depth, step] of path.entries()) {
    const rest = path.slice(depth + 1);
    if (isSeq(node)) {
      node = node.items[Number(step)];
      if (node === undefined) throw refuse(path, 'there is no such item');
      continue;
    }
    if (!isMap(node)) throw refuse(path, 'it is shared by an alias, or not a group of keys');
    const pair = pairOf(node, step);
    if (pair === undefined) return adding(text, node, `${step}: ${written(rest, value)}`);
    const isEmptyGroup = isMap(pair.value) && pair.value.items.length === 0;
    if (isNothing(pair.value) || (isEmptyGroup && rest.length > 0))
      return filling(text, pair, written(rest, value));
    node = pair.value;
  }
  if (!isScalar(node)) throw refuse(path, 'a group or an alias stands there');
  return replacing(text, node as Ranged, written([], value));
}

/** Puts a value after a key that has none, or in place of `null`, `~` or `{}`. */
function filling(text: string, pair: Pair, value: string): Splice {
  const given = pair.value as Ranged | null;
  if (given !== null && given.range[1] > given.range[0]) return replacing(text, given, value);
  const colon = text.indexOf(':', (pair.key as Ranged).range[1]);
  return { from: colon + 1, to: colon + 1, text: ` ${value}` };
}

function replacing(text: string, { range: [from, to] }: Ranged, value: string): Splice {
  // A block of text ends with its line.
  return { from, to, text: text[to - 1] === '\n' ? `${value}\n` : value };
}

/** Adds a pair at the end of a group that has some. */
function adding(text: string, group: YAMLMap, pair: string): Splice {
  const last = group.items.at(-1);
  if (last === undefined || group.flow) {
    const end = last === undefined ? (group as unknown as Ranged).range[0] + 1 : endOf(last);
    const insert = last === undefined ? ` ${pair} ` : `, ${pair}`;
    return { from: end, to: end, text: insert };
  }
  const [first] = group.items;
  const column = (first!.key as Ranged).range[0] - lineStart(text, (first!.key as Ranged).range[0]);
  const newLine = text.includes('\r\n') ? '\r\n' : '\n';
  const at = lineEnd(text, endOf(last));
  return { from: at, to: at, text: `${newLine}${' '.repeat(column)}${pair}` };
}

function removal(text: string, root: unknown, path: Path): Splice | undefined {
  let node = root;
  /** The outermost pair that would be left empty. */
  let going: { group: YAMLMap; pair: Pair } | undefined;
  for (const step of path) {
    if (isSeq(node)) {
      node = node.items[Number(step)];
      going = undefined;
      continue;
    }
    if (!isMap(node)) {
      if (node === undefined || isNothing(node)) return undefined;
      throw refuse(path, 'it is shared by an alias, or not a group of keys');
    }
    const pair = pairOf(node, step);
    if (pair === undefined) return undefined;
    if (going === undefined || node.items.length > 1) going = { group: node, pair };
    node = pair.value;
  }
  return going === undefined ? undefined : removing(text, going.group, going.pair);
}

function removing(text: string, group: YAMLMap, pair: Pair): Splice {
  const index = group.items.indexOf(pair);
  const start = (pair.key as Ranged).range[0];
  const [before, after] = [group.items[index - 1], group.items[index + 1]];
  const nextStart = after === undefined ? undefined : (after.key as Ranged).range[0];
  // In a list item the first key stands behind the hyphen: what follows takes its place.
  const behindHyphen = text.slice(lineStart(text, start), start).trim() !== '';
  if (group.flow || (behindHyphen && nextStart !== undefined)) {
    if (nextStart !== undefined) return { from: start, to: nextStart, text: '' };
    return { from: before === undefined ? start : endOf(before), to: endOf(pair), text: '' };
  }
  const end = lineEnd(text, endOf(pair));
  return {
    from: lineStart(text, start),
    to: text.indexOf('\n', end) < 0 ? end : text.indexOf('\n', end) + 1,
    text: '',
  };
}

/** Where the last character of a pair stands, before any comment behind it. */
function endOf({ key, value }: Pair): number {
  if ((isMap(value) || isSeq(value)) && !value.flow && value.items.length > 0) {
    const last = value.items.at(-1);
    if (isMap(value)) return endOf(last as Pair);
    return endOf({ key, value: last } as Pair);
  }
  const valueEnd = (value as Ranged | null)?.range?.[1] ?? 0;
  return Math.max((key as Ranged).range[1], valueEnd);
}

const lineStart = (text: string, offset: number): number => text.lastIndexOf('\n', offset - 1) + 1;

/** End of the line that the character before an offset stands on, without its line break. */
function lineEnd(text: string, offset: number): number {
  const from = text[offset - 1] === '\n' ? offset - 1 : offset;
  const end = text.indexOf('\n', from);
  if (end < 0) return text.length;
  return text[end - 1] === '\r' ? end - 1 : end;
}
