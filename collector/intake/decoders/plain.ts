import type { Decoder } from './decoder.ts';
import { decimalOf, textOf } from './text.ts';

/** Longer than any number that a sensor writes. */
const maxTextBytes = 64;

/** A payload that is one number and nothing else, as in `23.4`. It fills the sensor's first channel. */
export const plainDecoder: Decoder = {
  name: 'plain',

  compile: () => (payload, _topic, sink) => {
    if (payload.length === 0) return sink.refuse('empty', '');
    if (payload.length > maxTextBytes) return sink.refuse('not-a-number', '');
    const text = textOf(payload);
    if (text === undefined) return sink.refuse('not-utf8', '');
    const value = decimalOf(text);
    if (value === undefined) return sink.refuse('not-a-number', '');
    if (!Number.isFinite(value)) return sink.refuse('not-finite', '');
    sink.take(0, value, Number.NaN);
  },

  guess(payload) {
    if (payload.length > maxTextBytes) return undefined;
    const text = textOf(payload);
    const value = text === undefined ? undefined : decimalOf(text);
    return value !== undefined && Number.isFinite(value) ? 'plain' : undefined;
  },
};
