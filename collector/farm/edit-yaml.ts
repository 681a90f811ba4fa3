import { isMap, isScalar, isSeq, type Pair, parseDocument, type YAMLMap, type YAMLSeq } from 'yaml';
import { AppError } from '../../shared/errors.ts';
import type { Path } from '../../shared/problems/walk.ts';
import { keyText } from './locate.ts';
import type { Ranged, Splice } from './yaml-places.ts';
import { endOf, endOfNode, hyphenOf, lineEnd, lineStart, newLineOf, nextLine } from './yaml-places.ts';

/** A value that an edit may write as one: a number, text, a switch. */
export type Plain = number | string | boolean;
/** Plain values, and lists and groups of them, which are written on one line. */
export type Written = Plain | readonly Written[] | { readonly [key: string]: Written };

const contentsOf = (text: string) =>
  parseDocument(text, { uniqueKeys: false, logLevel: 'silent', keepSourceTokens: true }).contents;

const spliced = (text: string, splice: Splice | undefined): string =>
  splice === undefined ? text : text.slice(0, splice.from) + splice.text + text.slice(splice.to);

/**
 * Sets one value in YAML text, or takes it out (`undefined`), touching nothing else: comments, order,
 * quotes and blank lines stay byte for byte. Missing groups on the way are added; a group that loses its
 * last key goes with it, a list that loses its last item does not. Text without the value that is to go is
 * returned as it is.
 * @throws AppError 'conflict' where the text does not allow it: an alias on the way, a value where a group
 * should be, a list item that is not there.
 */
export function editYaml(text: string, path: Path, value: Written | undefined): string {
  const contents = contentsOf(text);
  return spliced(
    text,
    value === undefined ? removal(text, contents, path) : setting(text, contents, path, value),
  );
}

/**
 * Puts an item into a list that has some, before the one at `index` or at the end, and touches nothing else.
 * @throws AppError 'conflict' where there is no such list.
 */
export function addItem(text: string, path: Path, index: number, value: Written): string {
  let node: unknown = contentsOf(text);
  for (const step of path) {
    if (isMap(node)) node = pairOf(node, step)?.value;
    else node = isSeq(node) ? node.items[Number(step)] : undefined;
  }
  if (!isSeq(node) || node.items.length === 0 || index > node.items.length)
    throw refuse(path, 'there is no such list');
  return spliced(text, insertion(text, node, index, flow(value)));
}

const refuse = (path: Path, why: string): AppError =>
  new AppError(
    'conflict',
    `${path.join('.')} cannot be changed from here: ${why}. Change it in the farm file by hand.`,
  );

const pairOf = (group: YAMLMap, step: string | number): Pair | undefined =>
  group.items.find(({ key }) => keyText(key) === String(step));

const isNothing = (node: unknown): boolean => node === null || (isScalar(node) && node.value === null);

/** Words that need no quotes in any version of YAML. */
const bareWord = /^(?!(?:true|false|null|yes|no|on|off)$)[a-z]{2,}$/;

/** A value on one line. */
function flow(value: Written, inner = false): string {
  if (typeof value === 'string') return inner && bareWord.test(value) ? value : JSON.stringify(value);
  if (typeof value !== 'object') return String(value);
  if (Array.isArray(value)) return `[${value.map((item: Written) => flow(item, true)).join(', ')}]`;
  const pairs = Object.entries(value).map(([key, one]) => `${key}: ${flow(one as Written, true)}`);
  return `{ ${pairs.join(', ')} }`;
}

/** The text of a value, or of the groups around it on one line. */
const written = (steps: Path, value: Written): string =>
  steps.reduceRight<string>((inner, step) => `{ ${step}: ${inner} }`, flow(value));

function setting(text: string, root: unknown, path: Path, value: Written): Splice {
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
  if (isSeq(node) && Array.isArray(value))
    return { from: (node as unknown as Ranged).range[0], to: endOfNode(node), text: flow(value) };
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
  const at = lineEnd(text, endOf(last));
  return { from: at, to: at, text: `${newLineOf(text)}${' '.repeat(column)}${pair}` };
}

/** Puts an item behind the one before it, so that what is said above the next one stays with that. */
function insertion(text: string, list: YAMLSeq<unknown>, index: number, item: string): Splice {
  const [before, after] = [list.items[index - 1] as Ranged | undefined, list.items[index] as Ranged];
  if (list.flow) {
    if (before === undefined) return { from: after.range[0], to: after.range[0], text: `${item}, ` };
    return { from: endOfNode(before), to: endOfNode(before), text: `, ${item}` };
  }
  const hyphen = hyphenOf(list, Math.max(0, index - 1))!;
  const line = `${' '.repeat(hyphen - lineStart(text, hyphen))}- ${item}`;
  if (before !== undefined) {
    const at = lineEnd(text, endOfNode(before));
    return { from: at, to: at, text: newLineOf(text) + line };
  }
  const at = lineStart(text, hyphen);
  return { from: at, to: at, text: line + newLineOf(text) };
}

/** Takes an item out of a list of several. */
function withoutItem(text: string, list: YAMLSeq<unknown>, index: number): Splice {
  const [before, gone, after] = [-1, 0, 1].map((step) => list.items[index + step] as Ranged);
  if (list.flow) {
    if (after !== undefined) return { from: gone!.range[0], to: after.range[0], text: '' };
    return {
      from: before === undefined ? gone!.range[0] : endOfNode(before),
      to: endOfNode(gone!),
      text: '',
    };
  }
  return {
    from: lineStart(text, hyphenOf(list, index)!),
    to: nextLine(text, endOfNode(gone!)),
    text: '',
  };
}

function removal(text: string, root: unknown, path: Path): Splice | undefined {
  let node = root;
  /** The outermost pair that would be left empty. */
  let going: { group: YAMLMap; pair: Pair } | undefined;
  for (const [depth, step] of path.entries()) {
    if (isSeq(node)) {
      const index = Number(step);
      if (depth === path.length - 1 && index < node.items.length) return withoutItem(text, node, index);
      node = node.items[index];
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
  return { from: lineStart(text, start), to: nextLine(text, endOf(pair)), text: '' };
}
