import { inRange } from '../stats/range.ts';
import type { Thermal } from './container.ts';
import { facePerM } from './load-modes.ts';

/** Thickest layer of steam water that clings to a container [mm]. Assumed. */
const thickestFilmMm = 0.2;
/** Heat of evaporation of water near 50 °C [J/kg]; steam tables, from memory. */
const evaporationJPerKg = 2.38e6;

/** Outer faces of one container and what is within them. */
function sizeOf(axes: Thermal['axes']): { volumeM3: number; surfaceM2: number } {
  const volumeM3 = axes.reduce(
    (product, { form, lengthM }) => product * (form === 'cylinder' ? Math.PI * lengthM ** 2 : 2 * lengthM),
    1,
  );
  return { volumeM3, surfaceM2: volumeM3 * facePerM(axes) };
}

/**
 * Upper bound of what a load's model leaves out: the part of its heat [0 to 1] that water on wet surfaces
 * could carry off as vapour while it cools. By so much the room may warm less and the load cool sooner than
 * computed, and the air gets damper; a cold coil gets it back as heat when the vapour condenses.
 * @param startC of the load [°C]; 1 where it is no warmer than the air by more than nothing
 * @throws AppError 'out-of-range' for a load colder than the air, or more than 150 K over it.
 */
export function wetSurfaceShare(
  { axes, cpJPerKgK, massKg }: Pick<Thermal, 'axes' | 'cpJPerKgK' | 'massKg'>,
  startC: number,
  airC: number,
): number {
  const heldJ = massKg * cpJPerKgK * inRange('load over air', startC - airC, 0, 150, 'K');
  const waterKg = sizeOf(axes).surfaceM2 * thickestFilmMm;
  return Math.min(1, (waterKg * evaporationJPerKg) / heldJ);
}
