import { type Document, isAlias, isMap, isSeq, type Node, type Pair, type YAMLMap } from 'yaml';
import type { Finding } from '../../shared/problems/explain.ts';
import type { Path } from '../../shared/problems/walk.ts';

/**
 * Finds where in the text a value, key or group stands; of what the text does not hold, the nearest
 * part above it that it does.
 */
export function createLocator(document: Document): (path: Path, kind: Finding['place']) => number {
  const indexes = new WeakMap<YAMLMap, Map<string, Pair>>();
  const pairOf = (group: YAMLMap, key: string): Pair | undefined => {
    let index = indexes.get(group);
    if (index === undefined) {
      index = new Map(group.items.map((pair) => [keyText(pair.key), pair]));
      indexes.set(group, index);
    }
    return index.get(key);
  };

  return (path, kind) => {
    let node: unknown = document.contents;
    let offset = startOf(node, 0);
    const steps = kind === 'parent' ? path.slice(0, -1) : path;
    for (const [depth, step] of steps.entries()) {
      const group = isAlias(node) ? node.resolve(document) : node;
      if (isSeq(group)) {
        node = group.items[Number(step)];
        offset = startOf(node, offset);
      } else if (isMap(group)) {
        const pair = pairOf(group, String(step));
        if (pair === undefined) return offset;
        node = pair.value;
        offset = startOf(pair.key, offset);
        const pointsAtKey = kind === 'key' && depth === steps.length - 1;
        if (kind !== 'parent' && !pointsAtKey && !isEmpty(node)) offset = startOf(node, offset);
      } else return offset;
    }
    return offset;
  };
}

export const keyText = (key: unknown): string =>
  typeof key === 'object' && key !== null && 'value' in key ? String(key.value) : String(key);

/** A key with nothing after it: then the key is what to point at. */
const isEmpty = (node: unknown): boolean =>
  node === null || node === undefined || (typeof node === 'object' && 'value' in node && node.value === null);

export const startOf = (node: unknown, fallback: number): number =>
  (node as Node | null)?.range?.[0] ?? fallback;
