import { calibration, movedByWild } from '../tools/calibrate.ts';
import type { Figure } from './figure.ts';

const batches = 600;
const bins = 20;
const contaminated = 200;

/** How honest the beliefs about a batch are, and what wild looks do to them. Not a speed. */
export async function run(): Promise<Figure[]> {
  const plain = { unit: 'p', baseline: null, ratio: null };
  const figures: Figure[] = calibration(batches, bins).map(({ quantity, p }) => ({
    ...plain,
    name: `ranks of ${quantity} over ${batches} batches, chi-square`,
    value: p,
    goal: '> 0.01',
    holds: p > 0.01,
  }));
  const days = [3, 4, 5, 6, 7, 8, 9, 10, 11, 12];
  const moved = Array.from({ length: contaminated }, (_, i) => movedByWild(`wild ${i}`, days));
  const mean = moved.reduce((sum, one) => sum + one, 0) / contaminated;
  const within = moved.filter((one) => one < 0.5).length / contaminated;
  figures.push(
    {
      ...plain,
      name: 'median moved by 10 % wild looks',
      unit: 'd',
      value: mean,
      goal: '< 0.5',
      holds: mean < 0.5,
    },
    {
      ...plain,
      name: 'batches moved by less than 0.5 d',
      unit: 'share',
      value: within,
      goal: null,
      holds: null,
    },
  );
  return figures;
}
