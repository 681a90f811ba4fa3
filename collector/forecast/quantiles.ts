import type { Band } from '../../shared/forecasts.ts';
import { weightedQuantiles } from '../../shared/stats/quantiles.ts';

const shares = [0.1, 0.5, 0.9] as const;

/** 10, 50 and 90 % points of a weighted sample. */
export function threePoints(values: Float64Array, weights: Float64Array): Band {
  const [low, likely, high] = weightedQuantiles({ values, weights }, shares);
  return { low: low!, likely: likely!, high: high! };
}
