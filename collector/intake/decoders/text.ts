import { isAscii, isUtf8 } from 'node:buffer';

/** The payload as text, or undefined where it is not UTF-8. */
export function textOf(payload: Uint8Array): string | undefined {
  const bytes = Buffer.isBuffer(payload)
    ? payload
    : Buffer.from(payload.buffer, payload.byteOffset, payload.byteLength);
  // Nearly all payloads are ASCII, where Latin-1 is the same text and quicker to make.
  if (isAscii(bytes)) return bytes.toString('latin1');
  return isUtf8(bytes) ? bytes.toString('utf8') : undefined;
}

const decimal = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;

/**
 * A plain decimal number with optional sign, fraction and exponent, blanks around it allowed.
 * Undefined for everything else, among it `NaN`, `Infinity`, `0x1f` and `23,4`; 1e400 comes out infinite.
 */
export function decimalOf(text: string): number | undefined {
  const trimmed = text.trim();
  return decimal.test(trimmed) ? Number(trimmed) : undefined;
}

const states = new Map([
  ['on', 1],
  ['true', 1],
  ['1', 1],
  ['off', 0],
  ['false', 0],
  ['0', 0],
]);

/** 1 for `ON`, `true` or `1`, 0 for `OFF`, `false` or `0`, in any case, blanks around it allowed; undefined for all else. */
export const stateOf = (text: string): 0 | 1 | undefined =>
  states.get(text.trim().toLowerCase()) as 0 | 1 | undefined;
