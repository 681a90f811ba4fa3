import type { Minutes } from './history.ts';

/**
 * Minutes of one channel as means of even steps; NaN where there was none.
 *
 * @param stepOf the step that a minute belongs to; what lies outside 0 to `steps` is left out
 */
export function bySteps({ t, mean }: Minutes, steps: number, stepOf: (t: number) => number): Float64Array {
  const sum = new Float64Array(steps);
  const count = new Float64Array(steps);
  t.forEach((at, index) => {
    const step = stepOf(at);
    if (step < 0 || step >= steps) return;
    sum[step]! += mean[index]!;
    count[step]! += 1;
  });
  return sum.map((total, step) => (count[step]! > 0 ? total / count[step]! : Number.NaN));
}
