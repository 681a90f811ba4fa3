import { type EpochMs, minuteMs } from '../../../shared/time.ts';

/** Steps of the slow walk, in wall pixels; each is visited for four minutes. */
const walk = [
  [0, 0],
  [6, 4],
  [10, -4],
  [2, -8],
  [-6, -6],
  [-10, 2],
  [-4, 8],
] as const;

/** How far to move the whole picture so that no edge stands still for hours and burns in. */
export function burnShift(t: EpochMs): { x: number; y: number } {
  const [x, y] = walk[Math.floor(t / (4 * minuteMs)) % walk.length]!;
  return { x, y };
}
