import type { Quality } from '../../shared/readings.ts';

/** As stored. Codes are for ever: add at the end, never reuse. */
const codes: Record<Quality, number> = { good: 0, 'clock-skew': 1, suspect: 2, 'out-of-range': 3 };
const names = Object.keys(codes) as Quality[];

export const codeOfQuality = (quality: Quality): number => codes[quality];
export const qualityOfCode = (code: number): Quality => names[code] ?? 'suspect';

/** Marked readings are kept and shown but feed no forecast, so they are rolled up apart. */
export const isMarked = (code: number): 0 | 1 => (code === 0 ? 0 : 1);
