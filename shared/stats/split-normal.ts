import { normalQuantile } from './normal.ts';

/** 90 % point of the standard normal. */
const z90 = 1.2815515655446004;

/**
 * `count` equally likely members of the distribution that three points stand for: a normal half to either side
 * of the median, each with its own spread (two-piece normal; Wallis 2014, Oxford Bull. Econ. Stat. 76:571-581).
 *
 * @param low 10 % point
 * @param median 50 % point
 * @param high 90 % point
 */
export function splitNormalMembers(low: number, median: number, high: number, count: number): Float64Array {
  return Float64Array.from({ length: count }, (_, index) => {
    const z = normalQuantile((index + 0.5) / count);
    return median + z * ((z < 0 ? median - low : high - median) / z90);
  });
}
