import type { Quality } from '../../shared/readings.ts';

/** As stored. Codes are for ever: add at the end, never reuse. */
const codes: Record<Quality, number> = {
  good: 0,
  'clock-skew': 1,
  suspect: 2,
  'out-of-range': 3,
  estimated: 4,
};
const names = Object.keys(codes) as Quality[];

export const codeOfQuality = (quality: Quality): number => codes[quality];
export const qualityOfCode = (code: number): Quality => names[code] ?? 'suspect';

/**
 * How readings are rolled up apart: 0 good, 1 marked and feeding no forecast, 2 marked and feeding them,
 * 3 estimated, kept apart so that forecasts can take it as filled air.
 */
export type Mark = 0 | 1 | 2 | 3;
const marks: Record<number, Mark> = {
  [codes.good]: 0,
  [codes['clock-skew']]: 2,
  [codes.estimated]: 3,
};
export const markOf = (code: number): Mark => marks[code] ?? 1;
