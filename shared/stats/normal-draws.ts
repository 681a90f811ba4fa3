import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';

/** 2^32 over the golden ratio (Knuth, The Art of Computer Programming, 6.4). */
const spread = 0x9e3779b1;
/** 2^-32: a 32-bit draw to a share. */
const perDraw = 2 ** -32;

/**
 * Standard normal numbers, one a call, from a seed; same seed, same numbers.
 * Box & Muller 1958 (Ann. Math. Statist. 29:610-611), in pairs; none lies beyond 6.8.
 */
export function normalDraws(seed: number): () => number {
  // Neighbouring seeds start alike: spread them, and let the generator run in.
  const random = xoroshiro128plus(Math.imul(seed, spread));
  for (let draw = 0; draw < 20; draw++) random.next();
  let spare = Number.NaN;
  return () => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    // Middle of its cell, so the logarithm never meets zero.
    const radius = Math.sqrt(-2 * Math.log(((random.next() >>> 0) + 0.5) * perDraw));
    const angle = 2 * Math.PI * ((random.next() >>> 0) + 0.5) * perDraw;
    spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  };
}
