import type { Quality } from './readings.ts';

/** Whether alarms, trends and forecasts may rest on a reading of this quality. */
export const isUsable = (quality: Quality): boolean => quality === 'good' || quality === 'clock-skew';
