import type { Band } from '../forecasts.ts';
import type { EpochMs } from '../time.ts';
import type { ExpectedPoint, UnloadPlan } from '../unloads.ts';

/** What a curve expects at an instant, straight between its points; null before the first and after the last. */
export function expectedAt(points: readonly ExpectedPoint[], t: EpochMs): Band | null {
  const after = points.findIndex((point) => point.t >= t);
  if (after < 0) return null;
  const next = points[after]!;
  if (next.t === t) return next.value;
  const before = points[after - 1];
  if (before === undefined) return null;
  const share = (t - before.t) / (next.t - before.t);
  const between = (key: keyof Band) => before.value[key] + share * (next.value[key] - before.value[key]);
  return { low: between('low'), likely: between('likely'), high: between('high') };
}

/** A rise below this is none [K]. */
const noRiseK = 0.05;

/** Whether a load is likely to warm the room past what it has. */
export const warmsRoom = ({ peak, beforeC }: Pick<UnloadPlan, 'peak' | 'beforeC'>): boolean =>
  peak.tempC.likely > beforeC + noRiseK;
