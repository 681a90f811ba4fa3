import { rollupWidthsMs, type SeriesQuestion } from '../../shared/readings.ts';

const widestMs = rollupWidthsMs.at(-1)!;

/**
 * Widths to try for a question, finest first; 0 means raw readings. The last one always keeps to
 * `maxPoints`: for long spans it is a multiple of the widest kept roll-up.
 */
export function widthsToTry({ from, to, maxPoints }: SeriesQuestion): number[] {
  const most = Math.max(1, Math.floor(maxPoints));
  const multiple = Math.ceil((to - from) / widestMs / most);
  return multiple <= 1 ? [0, ...rollupWidthsMs] : [0, ...rollupWidthsMs, multiple * widestMs];
}
