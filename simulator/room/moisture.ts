/** Pressure of saturated vapour over water [Pa], -20 to 60 °C; Buck 1981, J. Appl. Meteorol. 20:1527-1532. */
export const saturationPa = (tempC: number): number =>
  611.21 * Math.exp(((18.678 - tempC / 234.5) * tempC) / (257.14 + tempC));

const airPressurePa = 101_325;

/** Relative humidity [%] of air with `gPerKg` grams of water to a kilogram of dry air; at most 100. */
export function relativeHumidity(gPerKg: number, tempC: number): number {
  const ratio = gPerKg / 1000;
  const vapourPa = (airPressurePa * ratio) / (0.62198 + ratio);
  return Math.min(100, (100 * vapourPa) / saturationPa(tempC));
}

/** Water that air holds at saturation [g/kg dry air]. */
export function saturationGPerKg(tempC: number): number {
  const pa = saturationPa(tempC);
  return (1000 * 0.62198 * pa) / (airPressurePa - pa);
}

export interface MoistureFlows {
  /** Kilograms of dry air in the room. */
  airKg: number;
  /** Fresh air [kg/s] and the water in it [g/kg]. */
  freshKgPerS: number;
  freshGPerKg: number;
  /** Evaporation into the room [g/s]. */
  sourceGPerS: number;
  /** Air over a cold coil [kg/s], 0 while it does not cool, and the coil's surface [°C]. */
  coilKgPerS: number;
  coilC: number;
}

/** Water in the room's air after one step [g/kg]; implicit, so any step is stable. */
export function stepMoisture(gPerKg: number, flows: MoistureFlows, stepS: number): number {
  const coilGPerKg = saturationGPerKg(flows.coilC);
  const dries = flows.coilKgPerS > 0 && gPerKg > coilGPerKg ? flows.coilKgPerS : 0;
  const rate = stepS / flows.airKg;
  return (
    (gPerKg + rate * (flows.freshKgPerS * flows.freshGPerKg + flows.sourceGPerS + dries * coilGPerKg)) /
    (1 + rate * (flows.freshKgPerS + dries))
  );
}
