import type { Quality } from '../../shared/readings.ts';

/** As stored. Codes are for ever: add at the end, never reuse. */
const codes: Record<Quality, number> = { good: 0, 'clock-skew': 1, suspect: 2, 'out-of-range': 3 };
const names = Object.keys(codes) as Quality[];

export const codeOfQuality = (quality: Quality): number => codes[quality];
export const qualityOfCode = (code: number): Quality => names[code] ?? 'suspect';

/** How readings are rolled up apart: 0 good, 1 marked and feeding no forecast, 2 marked and feeding them. */
export type Mark = 0 | 1 | 2;
export const markOf = (code: number): Mark =>
  code === codes.good ? 0 : code === codes['clock-skew'] ? 2 : 1;
