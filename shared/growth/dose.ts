import { lethalRate } from '../heat/dose.ts';

/** Rise in temperature that makes exposure count ten times [K]. Assumed. */
const doseZK = 6;
/** Time in which the memory of an exposure falls to 1/e [d]. Assumed. */
export const recoveryDays = 2;
/** Equivalent hours in memory that halve growth. Assumed. */
export const halvingHours = 4;

/**
 * Exposure in memory that bags are held to stand [equivalent h]: so much halves their growth. Assumed.
 * @alias
 */
export const heatAllowanceHours = halvingHours;

/**
 * Hours at the heat limit that an hour at this temperature is worth, as by `lethalRate`.
 * Nothing below the warm limit: long ordinary days are no exposure. Capped at 1e6.
 */
export function doseRate(coreTempC: number, warmLimitC: number, heatLimitC: number, zK = doseZK): number {
  if (!(coreTempC > warmLimitC)) return 0;
  return Math.min(1e6, lethalRate(coreTempC, heatLimitC, zK));
}

/**
 * Memory of exposure after a step [equivalent h]: old memory fades while the step's dose comes in evenly.
 * Exact for any length.
 */
export function remembered(memoryHours: number, dosePerHour: number, hours: number): number {
  const fade = hours / (24 * recoveryDays);
  const kept = Math.exp(-fade);
  return memoryHours * kept + (fade === 0 ? 0 : (dosePerHour * hours * (1 - kept)) / fade);
}

/** Factor on growth while mycelium recovers, 1 without exposure. */
export const slowedBy = (memoryHours: number): number => 1 / (1 + memoryHours / halvingHours);
