import { nothingThere, parseJsonPointer, resolveJsonPointer } from '../json-pointer.ts';
import type { Decode, Decoder, DecodeSink } from './decoder.ts';
import { parseForeignJson } from './json-text.ts';
import { sensorTimeOf } from './sensor-time.ts';
import { decimalOf, textOf } from './text.ts';

/** Values in a JSON document, each found by a JSON Pointer (RFC 6901), with the time by another if there is one. */
export const jsonDecoder: Decoder = {
  name: 'json',

  compile(sensor) {
    const pointers = sensor.channels.map((channel) => compilePointer(channel.pointer ?? ''));
    const time = sensor.timePointer === undefined ? undefined : compilePointer(sensor.timePointer);
    return decodeWith(pointers, time);
  },

  guess(payload) {
    const text = textOf(payload);
    if (text === undefined || !/^\s*[[{]/.test(text)) return undefined;
    const parsed = parseForeignJson(text);
    if (!parsed.ok) return undefined;
    const numbers: string[] = [];
    listNumbers(parsed.document, '', numbers);
    return numbers.length === 0 ? 'json' : `json: ${numbers.join(', ')}`;
  },
};

interface Pointer {
  written: string;
  tokens: readonly string[] | undefined;
}

function compilePointer(written: string): Pointer {
  const parsed = parseJsonPointer(written);
  return { written, tokens: parsed.ok ? parsed.tokens : undefined };
}

const follow = (document: unknown, pointer: Pointer): unknown =>
  pointer.tokens === undefined ? nothingThere : resolveJsonPointer(document, pointer.tokens);

function decodeWith(pointers: readonly Pointer[], time: Pointer | undefined): Decode {
  return (payload, _topic, sink) => {
    if (payload.length === 0) return sink.refuse('empty', '');
    const text = textOf(payload);
    if (text === undefined) return sink.refuse('not-utf8', '');
    const parsed = parseForeignJson(text);
    if (!parsed.ok) return sink.refuse(parsed.reason, '');
    const t = time === undefined ? Number.NaN : timeAt(parsed.document, time, sink);
    for (let channel = 0; channel < pointers.length; channel++)
      takeAt(parsed.document, pointers[channel] as Pointer, channel, t, sink);
  };
}

function timeAt(document: unknown, pointer: Pointer, sink: DecodeSink): number {
  const t = sensorTimeOf(follow(document, pointer));
  if (t === undefined) {
    sink.refuse('bad-time', pointer.written);
    // Zero is a clock that was never set: the receive time will stand, marked.
    return 0;
  }
  return t;
}

function takeAt(document: unknown, pointer: Pointer, channel: number, t: number, sink: DecodeSink) {
  const found = follow(document, pointer);
  if (found === nothingThere) return sink.refuse('nothing-at-pointer', pointer.written);
  // Many devices write their numbers as text.
  const value = typeof found === 'string' && found.length <= 64 ? decimalOf(found) : found;
  if (typeof value !== 'number') return sink.refuse('not-a-number', pointer.written);
  if (!Number.isFinite(value)) return sink.refuse('not-finite', pointer.written);
  sink.take(channel, value, t);
}

const maxGuessed = 8;

function listNumbers(node: unknown, path: string, into: string[]): void {
  if (into.length >= maxGuessed) return;
  if (typeof node === 'number') into.push(path === '' ? '(whole document)' : path);
  if (typeof node !== 'object' || node === null) return;
  for (const [key, value] of Object.entries(node))
    listNumbers(value, `${path}/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`, into);
}
