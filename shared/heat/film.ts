import { inRange } from '../stats/range.ts';
import { freeConvectionWPerM2K, radiationWPerM2K } from './properties.ts';

/** Film coefficient of a surface in air [W/(m2 K)], both temperatures in °C. */
export type Film = (surfaceC: number, airC: number) => number;

/**
 * Containers on a cart hide each other from the room's walls and stand in each other's warm air: their film
 * is this part of that of one standing free. Assumed, with a standard deviation of its logarithm; records of
 * unloads replace both.
 */
export const cartFilm = { factor: 0.6, lnSd: 0.35 } as const;

/** Factors that a load's film can have against one container standing free: packed tight to in a fan's wind. */
export const filmFactorRange = { low: 0.1, high: 6 } as const;

/**
 * Film of a hot container standing free: free convection at the difference there is (a quarter power) and
 * radiation at the mean of surface and air, so that it falls as the load cools: about 14 W/(m2 K) at 75 K
 * over the room and 9 at 5 K for a bag 0.2 m tall. Walls are taken to be as warm as the air.
 */
export const freeFilm =
  (heightM: number): Film =>
  (surfaceC, airC) =>
    freeConvectionWPerM2K(surfaceC - airC, heightM) + radiationWPerM2K((surfaceC + airC) / 2);

/** A film that is a factor of another; see `filmFactorRange`. */
export function scaledFilm(film: Film, factor: number): Film {
  const { low, high } = filmFactorRange;
  inRange('factor on the film coefficient', factor, low, high);
  return (surfaceC, airC) => factor * film(surfaceC, airC);
}
