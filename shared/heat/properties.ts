import { clamp, inRange } from '../stats/range.ts';

const stefanBoltzmann = 5.670374419e-8;

/** Published limits of moist foods and grain that computed values are kept within. */
export const diffusivityLimitsM2PerS = { low: 1.1e-7, high: 2.0e-7 } as const;
/** From dry bulk wheat to still water. */
export const conductivityLimitsWPerMK = { low: 0.12, high: 0.6 } as const;

/**
 * Specific heat of a moist, fat-free plant material above freezing [J/(kg K)].
 * Siebel 1892, in SI: 837 + 3349 w. `moisture` w is the water share of the wet mass, 0 to 1.
 */
export const specificHeatSiebel = (moisture: number): number =>
  837 + 3349 * inRange('moisture', moisture, 0, 1);

/**
 * Specific heat above freezing [J/(kg K)], Chen 1985: 4190 - 2300 s - 628 s^3, s the share of solids.
 * 13 % over Siebel at a water share of 0.6: the difference between the two is the honest uncertainty.
 */
export function specificHeatChen(moisture: number): number {
  const solids = 1 - inRange('moisture', moisture, 0, 1);
  return 4190 - 2300 * solids - 628 * solids ** 3;
}

/**
 * Thermal diffusivity of a moist material [m2/s], straight between dry solids and water as by Dickerson 1969
 * (0.088e-6 and about 0.146e-6 near 25 degC; from memory), kept within `diffusivityLimitsM2PerS`.
 */
export function diffusivityM2PerS(moisture: number): number {
  const share = inRange('moisture', moisture, 0, 1);
  return clamp(
    0.088e-6 + (0.146e-6 - 0.088e-6) * share,
    diffusivityLimitsM2PerS.low,
    diffusivityLimitsM2PerS.high,
  );
}

/**
 * Free convection on an upright face in room air [W/(m2 K)], laminar: 1.42 (dT / L)^(1/4)
 * (simplified for air, McAdams; Holman, Heat Transfer; from memory), kept within 2 to 25.
 * @param differenceK surface to air; the sign does not matter
 */
export const freeConvectionWPerM2K = (differenceK: number, heightM: number): number =>
  clamp(1.42 * Math.sqrt(Math.sqrt(Math.abs(differenceK) / heightM)), 2, 25);

/** Radiation to walls of nearly the same temperature [W/(m2 K)]: 4 eps sigma T^3; 5.5 at 25 degC, eps 0.915. */
export function radiationWPerM2K(meanTempC: number, emissivity = 0.915): number {
  const kelvin = meanTempC + 273.15;
  return 4 * emissivity * stefanBoltzmann * kelvin * kelvin * kelvin;
}

/**
 * Heat that an air stream carries over a temperature difference [W], with air at 20 degC:
 * 1.2 kg/m3 and 1006 J/(kg K).
 */
export const sensibleHeatW = (flowM3PerS: number, differenceK: number): number =>
  1.2 * 1006 * flowM3PerS * differenceK;
