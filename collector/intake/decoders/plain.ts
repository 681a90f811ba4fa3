import type { Decoder } from './decoder.ts';
import { decimalOf, stateOf, textOf } from './text.ts';

/** Longer than any number that a sensor writes. */
const maxTextBytes = 64;

/** A payload that is one number or state and nothing else, as in `23.4` or `ON`. It fills the sensor's first channel. */
export const plainDecoder: Decoder = {
  name: 'plain',

  compile({ channels }) {
    const [read, otherwise] =
      channels[0]?.unit === 'state'
        ? ([stateOf, 'not-a-state'] as const)
        : ([decimalOf, 'not-a-number'] as const);
    return (payload, _topic, sink) => {
      if (payload.length === 0) return sink.refuse('empty', '');
      if (payload.length > maxTextBytes) return sink.refuse(otherwise, '');
      const text = textOf(payload);
      if (text === undefined) return sink.refuse('not-utf8', '');
      const value = read(text);
      if (value === undefined) return sink.refuse(otherwise, '');
      if (!Number.isFinite(value)) return sink.refuse('not-finite', '');
      sink.take(0, value, Number.NaN);
    };
  },

  guess(payload) {
    if (payload.length > maxTextBytes) return undefined;
    const text = textOf(payload);
    if (text === undefined) return undefined;
    const value = decimalOf(text);
    if (value !== undefined) return Number.isFinite(value) ? 'plain' : undefined;
    return stateOf(text) === undefined ? undefined : 'plain, unit: state';
  },
};
