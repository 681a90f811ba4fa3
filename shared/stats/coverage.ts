import { AppError } from '../errors.ts';
import { logGamma } from './student-t.ts';

/** ln of the binomial probability of `hits` among `count`. */
const logBinomial = (hits: number, count: number, chance: number): number =>
  logGamma(count + 1) -
  logGamma(hits + 1) -
  logGamma(count - hits + 1) +
  hits * Math.log(chance) +
  (count - hits) * Math.log1p(-chance);

/** Least number of hits whose cumulative binomial probability reaches `share`. */
function binomialQuantile(share: number, count: number, chance: number): number {
  let cumulative = 0;
  for (let hits = 0; hits < count; hits++) {
    cumulative += Math.exp(logBinomial(hits, count, chance));
    // The sum of many rounded terms may fall short of 1 by a hair.
    if (cumulative >= share - 1e-12) return hits;
  }
  return count;
}

export interface Coverage {
  /** Share of observations that fell inside, ends included. */
  share: number;
  inside: number;
  count: number;
  /** Central 95 % of what an honest interval would show over as many cases. */
  band: { low: number; high: number };
  /** The share lies within the band. */
  holds: boolean;
}

/** Central 95 % of the share that falls inside intervals of nominal coverage `chance` over `count` cases. */
export function coverageBand(count: number, chance: number): { low: number; high: number } {
  if (!(count >= 1 && chance > 0 && chance < 1))
    throw new AppError(
      'out-of-range',
      `coverage needs a case and a chance between 0 and 1; found ${count} cases, chance ${chance}`,
    );
  return {
    low: binomialQuantile(0.025, count, chance) / count,
    high: binomialQuantile(0.975, count, chance) / count,
  };
}

/**
 * How often observations fell inside their intervals, beside what chance alone would give.
 * @param chance nominal coverage: 0.8 for intervals from 10 to 90 %
 * @throws AppError 'out-of-range' without a case.
 */
export function intervalCoverage(
  cases: readonly { low: number; high: number; observed: number }[],
  chance = 0.8,
): Coverage {
  const band = coverageBand(cases.length, chance);
  const inside = cases.filter(({ low, high, observed }) => observed >= low && observed <= high).length;
  const share = inside / cases.length;
  return { share, inside, count: cases.length, band, holds: share >= band.low && share <= band.high };
}
