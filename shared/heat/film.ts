import { freeConvectionWPerM2K, radiationWPerM2K } from './properties.ts';

/** How a surface sheds heat [W/(m2 K)]: into the air and, past it, to the walls; temperatures in °C. */
export interface Film {
  convection(surfaceC: number, airC: number): number;
  radiation(surfaceC: number, airC: number): number;
}

/**
 * Containers on a cart hide each other from the room's walls and stand in each other's warm air: their film
 * is this part of that of one standing free. Assumed, with a standard deviation of its logarithm; records of
 * unloads replace both.
 */
export const cartFilm = { factor: 0.6, lnSd: 0.35 } as const;

/** A fan that blows at a load raises its film by this factor. Assumed, with a standard deviation of its logarithm. */
export const fanFilm = { factor: 1.6, lnSd: 0.2 } as const;

/** Factors that a load's film can have against one container standing free: packed tight to in a fan's wind. */
export const filmFactorRange = { low: 0.1, high: 6 } as const;

/**
 * Film of a hot container standing free: free convection at the difference there is (a quarter power) and
 * radiation at the mean of surface and air, so that it falls as the load cools: about 14 W/(m2 K) at 75 K
 * over the room and 9 at 5 K for a bag 0.2 m tall. Walls are taken to be as warm as the air.
 */
export const freeFilm = (heightM: number): Film => ({
  convection: (surfaceC, airC) => freeConvectionWPerM2K(surfaceC - airC, heightM),
  radiation: (surfaceC, airC) => radiationWPerM2K((surfaceC + airC) / 2),
});

/** One film whatever the temperatures, all of it into the air, such as a measured one. */
export const constantFilm = (hWPerM2K: number): Film => ({
  convection: () => hWPerM2K,
  radiation: () => 0,
});

/** Both ways of shedding heat together [W/(m2 K)]. */
export const filmWPerM2K = (film: Film, surfaceC: number, airC: number): number =>
  film.convection(surfaceC, airC) + film.radiation(surfaceC, airC);
