import { nothingThere, parseJsonPointer, resolveJsonPointer } from '../json-pointer.ts';
import type { Decode, Decoder, DecodeSink } from './decoder.ts';
import { parseForeignJson } from './json-text.ts';
import { sensorTimeOf } from './sensor-time.ts';
import { decimalOf, stateOf, textOf } from './text.ts';

/** Values in a JSON document, each found by a JSON Pointer (RFC 6901), with the time by another if there is one. */
export const jsonDecoder: Decoder = {
  name: 'json',

  compile(sensor) {
    const pointers = sensor.channels.map(({ pointer, unit }) => ({
      ...compilePointer(pointer ?? ''),
      take: unit === 'state' ? takeState : takeNumber,
    }));
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

interface Source extends Pointer {
  take: typeof takeNumber;
}

function decodeWith(sources: readonly Source[], time: Pointer | undefined): Decode {
  return (payload, _topic, sink) => {
    if (payload.length === 0) return sink.refuse('empty', '');
    const text = textOf(payload);
    if (text === undefined) return sink.refuse('not-utf8', '');
    const parsed = parseForeignJson(text);
    if (!parsed.ok) return sink.refuse(parsed.reason, '');
    const t = time === undefined ? Number.NaN : timeAt(parsed.document, time, sink);
    for (let channel = 0; channel < sources.length; channel++) {
      const source = sources[channel] as Source;
      const found = follow(parsed.document, source);
      if (found === nothingThere) sink.refuse('nothing-at-pointer', source.written);
      else source.take(found, source.written, channel, t, sink);
    }
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

function takeNumber(found: unknown, written: string, channel: number, t: number, sink: DecodeSink) {
  // Many devices write their numbers as text.
  const value = typeof found === 'string' && found.length <= 64 ? decimalOf(found) : found;
  if (typeof value !== 'number') return sink.refuse('not-a-number', written);
  if (!Number.isFinite(value)) return sink.refuse('not-finite', written);
  sink.take(channel, value, t);
}

function takeState(found: unknown, written: string, channel: number, t: number, sink: DecodeSink) {
  const text = typeof found === 'object' ? '' : String(found);
  const state = text.length <= 64 ? stateOf(text) : undefined;
  if (state === undefined) return sink.refuse('not-a-state', written);
  sink.take(channel, state, t);
}

const maxGuessed = 8;

function listNumbers(node: unknown, path: string, into: string[]): void {
  if (into.length >= maxGuessed) return;
  if (typeof node === 'number') into.push(path === '' ? '(whole document)' : path);
  if (typeof node !== 'object' || node === null) return;
  for (const [key, value] of Object.entries(node))
    listNumbers(value, `${path}/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`, into);
}
