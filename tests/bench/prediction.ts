import { predictionStudy } from '../tools/prediction-study.ts';
import type { Figure } from './figure.ts';

const seed = 20_261_125;

/** How many cooler failures are foreseen in time, and how often nothing is foreseen rightly. */
export async function run(): Promise<Figure[]> {
  const { counted, inTime, medianLeadMin, wrongPerWeek } = predictionStudy({ failures: 50, weeks: 30, seed });
  const plain = { baseline: null, ratio: null };
  const share = inTime / counted;
  return [
    {
      name: 'failures that take 40 min or more',
      value: counted,
      unit: 'of 50',
      ...plain,
      goal: null,
      holds: null,
    },
    {
      ...{ name: 'warned 20 min or more before the limit', value: share, unit: 'share', ...plain },
      ...{ goal: 'at least 0.9', holds: share >= 0.9 },
    },
    { name: 'median warning', value: medianLeadMin, unit: 'min', ...plain, goal: null, holds: null },
    {
      ...{ name: 'false warnings, 30 ordinary weeks', value: wrongPerWeek, unit: 'a week', ...plain },
      ...{ goal: 'at most 1', holds: wrongPerWeek <= 1 },
    },
  ];
}
