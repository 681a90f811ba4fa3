import { AppError } from '../errors.ts';
import type { Cutoff } from './response-spec.ts';

/** How the temperature is thought to run between a day's minimum and maximum. */
export type DegreeDayMethod =
  | 'averaging'
  | 'single-sine'
  | 'double-sine'
  | 'single-triangle'
  | 'double-triangle';

/** Thresholds and way of counting. Any one unit throughout; a day's degree-days are in that unit. */
export interface DegreeDayRule {
  lower: number;
  upper: number;
  method: DegreeDayMethod;
  cutoff: Cutoff;
}

export interface DayExtremes {
  min: number;
  max: number;
  /** Minimum of the following day; double methods only, left out: as this day's. */
  nextMin?: number | undefined;
}

/** Over a stretch from min to max: mean exceedance above a threshold, and share of time above it. */
interface Above {
  exceedance: number;
  share: number;
}
type Curve = (min: number, max: number, threshold: number) => Above;

const sine: Curve = (min, max, threshold) => {
  const mean = (min + max) / 2;
  if (threshold <= min) return { exceedance: mean - threshold, share: 1 };
  if (threshold >= max) return { exceedance: 0, share: 0 };
  const half = (max - min) / 2;
  const angle = Math.asin((threshold - mean) / half);
  return {
    exceedance: ((mean - threshold) * (Math.PI / 2 - angle) + half * Math.cos(angle)) / Math.PI,
    share: 0.5 - angle / Math.PI,
  };
};

const triangle: Curve = (min, max, threshold) => {
  if (threshold <= min) return { exceedance: (min + max) / 2 - threshold, share: 1 };
  if (threshold >= max) return { exceedance: 0, share: 0 };
  const share = (max - threshold) / (max - min);
  return { exceedance: (share * (max - threshold)) / 2, share };
};

/** Half the day at each extreme; with a horizontal cut-off this is the corn growers' modified average. */
const extremes: Curve = (min, max, threshold) => ({
  exceedance: (Math.max(0, min - threshold) + Math.max(0, max - threshold)) / 2,
  share: ((min > threshold ? 1 : 0) + (max > threshold ? 1 : 0)) / 2,
});

const methods: Record<DegreeDayMethod, { curve: Curve; double: boolean }> = {
  averaging: { curve: extremes, double: false },
  'single-sine': { curve: sine, double: false },
  'double-sine': { curve: sine, double: true },
  'single-triangle': { curve: triangle, double: false },
  'double-triangle': { curve: triangle, double: true },
};

/**
 * Degree-days of one day from its minimum and maximum.
 * Baskerville & Emin 1969 (Ecology 50:514-517), Allen 1976, Zalom et al. 1983 (UC leaflet 21373).
 * Intermediate cut-off: never below the vertical one; its maximum is taken on the day's total.
 * @throws AppError 'out-of-range' when lower >= upper, or a minimum is above the maximum, or one is not a number.
 */
export function degreeDays({ min, max, nextMin }: DayExtremes, rule: DegreeDayRule): number {
  const { lower, upper, method, cutoff } = rule;
  if (!(lower < upper))
    throw new AppError(
      'out-of-range',
      `degree-days need lower < upper threshold; found ${lower} and ${upper}`,
    );
  const { curve, double } = methods[method];
  const secondMin = double ? (nextMin ?? min) : min;
  if (!(min <= max && secondMin <= max) || !Number.isFinite(max - min - secondMin))
    throw new AppError(
      'out-of-range',
      `degree-days need minimum <= maximum; found minimum ${min}${double ? `, next minimum ${secondMin}` : ''}, maximum ${max}`,
      { details: { min, max, secondMin } },
    );

  const halves = double
    ? [
        { from: min, weight: 0.5 },
        { from: secondMin, weight: 0.5 },
      ]
    : [{ from: min, weight: 1 }];
  let aboveLower = 0;
  let aboveUpper = 0;
  let shareOver = 0;
  for (const { from, weight } of halves) {
    const over = curve(from, max, upper);
    aboveLower += weight * curve(from, max, lower).exceedance;
    aboveUpper += weight * over.exceedance;
    shareOver += weight * over.share;
  }
  const horizontal = aboveLower - aboveUpper;
  const vertical = horizontal - (upper - lower) * shareOver;
  if (cutoff === 'horizontal') return horizontal;
  return cutoff === 'vertical' ? vertical : Math.max(vertical, horizontal - aboveUpper);
}

/**
 * Degree-days of consecutive days; each day's following minimum is the next day's, and the last day,
 * whose following minimum is not known, uses its own. A next minimum above the maximum of a day (a
 * sudden warm night) counts as that maximum.
 */
export const degreeDaySeries = (
  days: readonly { min: number; max: number }[],
  rule: DegreeDayRule,
): number[] =>
  days.map(({ min, max }, index) => {
    const next = days[index + 1]?.min;
    return degreeDays({ min, max, nextMin: next === undefined ? undefined : Math.min(next, max) }, rule);
  });
