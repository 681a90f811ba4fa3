import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { normalQuantile } from '../../shared/stats/normal.ts';

/** Numbers for tests that look random and are the same at every run. */
export function createRandom(seed: number) {
  const generator = xoroshiro128plus(seed);
  const uniform = () => uniformFloat64(generator);
  return {
    /** 0 inclusive to 1 exclusive. */
    uniform,
    normal: () => normalQuantile(Math.max(1e-12, uniform())),
    /** A whole number from 0 to `below` - 1. */
    below: (below: number) => Math.floor(uniform() * below),
  };
}
