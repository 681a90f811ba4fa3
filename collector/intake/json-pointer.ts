/** Stands for "no value there", which is not the same as a null there. */
export const nothingThere = Symbol('nothing there');

export type ParsedPointer = { ok: true; tokens: readonly string[] } | { ok: false; problem: string };

/** Reads a JSON Pointer in its string form, RFC 6901 sections 3 and 4. */
export function parseJsonPointer(pointer: string): ParsedPointer {
  if (pointer === '') return { ok: true, tokens: [] };
  if (!pointer.startsWith('/'))
    return { ok: false, problem: `a JSON pointer is empty or begins with '/': try '/${pointer}'` };
  if (/~(?![01])/.test(pointer))
    return { ok: false, problem: "in a JSON pointer '~' is written '~0' and '/' inside a name '~1'" };
  // ~1 before ~0, or '~01' would become '/' (section 4).
  const tokens = pointer
    .slice(1)
    .split('/')
    .map((token) => token.replaceAll('~1', '/').replaceAll('~0', '~'));
  return { ok: true, tokens };
}

const arrayIndex = /^(?:0|[1-9]\d{0,9})$/;

/**
 * The value that the tokens of a pointer lead to, RFC 6901 section 4, or `nothingThere`.
 * Only own properties count, so no pointer reaches what JavaScript's objects inherit.
 */
export function resolveJsonPointer(document: unknown, tokens: readonly string[]): unknown {
  let node = document;
  for (const token of tokens) {
    if (typeof node !== 'object' || node === null) return nothingThere;
    if (Array.isArray(node) && !arrayIndex.test(token)) return nothingThere;
    if (!Object.hasOwn(node, token)) return nothingThere;
    node = (node as Record<string, unknown>)[token];
  }
  return node;
}
