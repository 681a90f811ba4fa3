import { maxPayloadBytes } from './decoders/decoder.ts';

/** Long enough to recognize a payload by. */
const maxExampleBytes = 160;

const unprintable = /[\p{C}\p{Zl}\p{Zp}]/gu;

/** Text that a stranger sent, cut and with nothing that could act on a terminal, a page or a log. */
export function printable(text: string, maxLength = maxExampleBytes): string {
  const cut = text.length > maxLength ? `${text.slice(0, maxLength)}…` : text;
  return cut.replace(unprintable, '\u{fffd}');
}

/** The first bytes of a payload, copied: a slice would keep the whole network chunk in memory. */
export const exampleOf = (payload: Uint8Array, maxBytes = maxExampleBytes): Uint8Array =>
  // Not payload.slice: a Buffer's own shares the memory.
  Uint8Array.prototype.slice.call(payload, 0, maxBytes);

/** Shows an example taken by `exampleOf`. */
export function showExample(example: Uint8Array, wholeBytes: number): string {
  const shown = example.subarray(0, maxExampleBytes);
  const text = printable(new TextDecoder().decode(shown));
  if (wholeBytes <= shown.length) return text;
  // A broker may have cut what is larger, so its size is not known.
  return `${text}… (${wholeBytes > maxPayloadBytes ? `over ${maxPayloadBytes}` : wholeBytes} bytes)`;
}
