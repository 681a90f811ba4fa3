/**
 * What a room's parameters have its swings be. The forms are those of a first-order answer to on and off; the
 * lags of cooler and sensor and the spreads were set on forty simulated rooms, kept apart from those that the
 * fit is tried on.
 */

const leastFalling = 0.2;
const fallingPerUse = 0.64;

/**
 * Part of the time that air falls where a cooler runs for a part `used` of it, 0 to 1; of a heater, that it
 * rises. Lags draw it towards a half.
 */
export const fallingOf = (used: number): number => leastFalling + fallingPerUse * used;
/** The way back: the part that it runs, of the part of the time that air falls. */
export const usedOf = (falling: number): number => (falling - leastFalling) / fallingPerUse;
/** How far a room as a whole lies off that line, and one stretch of it [1 sd]. */
export const fallingSd = { room: 0.04, stretch: 0.1 } as const;

/** The cooler takes time to build up, and the sensor to feel it [s]. */
const buildsUpS = 150;
const sensorS = 100;

/**
 * Swing that a cooler of so many watts gives to air over walls that hardly move [K].
 * @param airS time constant of the air before the walls [s]
 */
export function swingOf(
  { periodS, used }: { periodS: number; used: number },
  coolingW: number,
  airToStructureWPerK: number,
  airS: number,
): number {
  const falls = -Math.expm1((-used * periodS) / airS);
  const rises = -Math.expm1((-(1 - used) * periodS) / airS);
  const turns = (2 * Math.PI) / periodS;
  const rounded = Math.hypot(1, turns * buildsUpS) * Math.hypot(1, turns * sensorS);
  return ((coolingW / airToStructureWPerK) * falls * rises) / -Math.expm1(-periodS / airS) / rounded;
}
/** How far the log of a room's swing lies from that [1 sd]. */
export const swingLnSd = 0.2;

/** Time from the bottom to half of a rise of that length [min]: the sensor adds to it, and so do walls in a long one. */
export function halfRiseMin(lengthMin: number, airS: number): number {
  const airMin = airS / 60;
  const half = -airMin * Math.log1p(-0.5 * -Math.expm1(-lengthMin / airMin));
  return half + 0.4 + 0.09 * Math.min(20, lengthMin);
}
export const halfRiseSdMin = 0.5;
