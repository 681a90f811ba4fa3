import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { normalQuantile } from '../../shared/stats/normal.ts';

/** Random numbers that depend on nothing but a text. */
export interface Draws {
  /** Even over (0, 1). */
  even(): number;
  normal(): number;
}

/** 32-bit FNV-1a. */
export function hash32(text: string): number {
  let hash = 0x811c9dc5;
  for (let index = 0; index < text.length; index++) {
    hash ^= text.charCodeAt(index);
    hash = Math.imul(hash, 0x01000193);
  }
  return hash | 0;
}

/** A whole number from 0 to below `count` that depends on nothing but a text. */
export const numberOf = (text: string, count: number): number => (hash32(text) >>> 0) % count;

export function drawsOf(seed: string): Draws {
  const generator = xoroshiro128plus(hash32(seed));
  const even = () => Math.max(2 ** -54, uniformFloat64(generator));
  return { even, normal: () => normalQuantile(even()) };
}
