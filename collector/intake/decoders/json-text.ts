import type { Refusal } from './decoder.ts';

/** Levels of arrays and objects; readings are nested three or four deep. */
const maxDepth = 32;

export type ParsedJson = { ok: true; document: unknown } | { ok: false; reason: Refusal };

/** Parses text that a stranger sent: depth bounded, keys that could reach a prototype refused. */
export function parseForeignJson(text: string): ParsedJson {
  // Every level takes two brackets, so short texts cannot be too deep.
  if (text.length > 2 * maxDepth && deeperThan(text, maxDepth)) return { ok: false, reason: 'too-deep' };
  let document: unknown;
  try {
    document = JSON.parse(text);
  } catch {
    return { ok: false, reason: 'not-json' };
  }
  // Only a text that spells such a key out, or may by an escape, is searched.
  const suspicious = text.includes('__proto__') || text.includes('"constructor"') || text.includes('\\u');
  if (suspicious && hasPrototypeKey(document)) return { ok: false, reason: 'prototype-key' };
  return { ok: true, document };
}

/** Counts brackets outside strings, before the parser builds anything. */
function deeperThan(text: string, limit: number): boolean {
  let depth = 0;
  let inString = false;
  for (let at = 0; at < text.length; at++) {
    const code = text.charCodeAt(at);
    if (inString) {
      if (code === backslash) at++;
      else if (code === quote) inString = false;
    } else if (code === quote) inString = true;
    else if (code === openBrace || code === openBracket) {
      if (++depth > limit) return true;
    } else if (code === closeBrace || code === closeBracket) depth--;
  }
  return false;
}
const [quote, backslash, openBrace, closeBrace, openBracket, closeBracket] = [34, 92, 123, 125, 91, 93];

function hasPrototypeKey(node: unknown): boolean {
  if (typeof node !== 'object' || node === null) return false;
  if (Object.hasOwn(node, '__proto__')) return true;
  if (Object.hasOwn(node, 'constructor') && !Array.isArray(node)) {
    const inner = (node as { constructor: unknown }).constructor;
    if (typeof inner === 'object' && inner !== null && Object.hasOwn(inner, 'prototype')) return true;
  }
  return Object.values(node).some(hasPrototypeKey);
}
