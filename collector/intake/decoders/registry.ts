import type { DecoderName } from '../../../shared/farm/schema.ts';
import type { Decoder } from './decoder.ts';
import { jsonDecoder } from './json.ts';
import { plainDecoder } from './plain.ts';

/** Every decoder by the name that the farm file gives it. A new one is a file beside these and a line here. */
export const decoders: Readonly<Record<DecoderName, Decoder>> = {
  plain: plainDecoder,
  json: jsonDecoder,
};

/** What decoder an unplaced topic's payload looks made for, in words for setting up. */
export function guessDecoder(payload: Uint8Array): string {
  for (const decoder of Object.values(decoders)) {
    const guess = decoder.guess(payload);
    if (guess !== undefined) return guess;
  }
  return 'unknown';
}
