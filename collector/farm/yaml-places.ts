import { isMap, isSeq, type Node, type Pair, type YAMLSeq } from 'yaml';

/** A stretch of text and what takes its place. */
export interface Splice {
  from: number;
  to: number;
  text: string;
}
export type Ranged = Node & { range: [number, number, number] };

export const lineStart = (text: string, offset: number): number => text.lastIndexOf('\n', offset - 1) + 1;

/** End of the line that the character before an offset stands on, without its line break. */
export function lineEnd(text: string, offset: number): number {
  const from = text[offset - 1] === '\n' ? offset - 1 : offset;
  const end = text.indexOf('\n', from);
  if (end < 0) return text.length;
  return text[end - 1] === '\r' ? end - 1 : end;
}

/** Past the line break that ends the line of the character before an offset. */
export function nextLine(text: string, offset: number): number {
  const end = text.indexOf('\n', lineEnd(text, offset));
  return end < 0 ? text.length : end + 1;
}

export const newLineOf = (text: string): string => (text.includes('\r\n') ? '\r\n' : '\n');

/** Where the last character of a pair stands, before any comment behind it. */
export const endOf = ({ key, value }: Pair): number =>
  Math.max((key as Ranged).range[1], value === null ? 0 : endOfNode(value as Node));

/** Where the last character of a value stands, before any comment behind it. */
export function endOfNode(node: Node): number {
  if ((isMap(node) || isSeq(node)) && !node.flow && node.items.length > 0) {
    const last = node.items.at(-1);
    return isMap(node) ? endOf(last as Pair) : endOfNode(last as Node);
  }
  return (node as Ranged).range?.[1] ?? 0;
}

/** Where the hyphen of an item stands in a list of lines; the list must keep its source tokens. */
export function hyphenOf(list: YAMLSeq, index: number): number | undefined {
  const token = list.srcToken;
  if (token?.type !== 'block-seq') return undefined;
  const hyphens = token.items.flatMap(
    ({ start }) => start.find(({ type }) => type === 'seq-item-ind')?.offset ?? [],
  );
  return hyphens[index];
}
