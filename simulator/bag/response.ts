/**
 * How fast a strain's front moves at a temperature, by the square-root model of bacterial growth
 * extended over the whole range: sqrt(rate) = b (T - Tmin) (1 - exp(c (T - Tmax))), Ratkowsky, Lowry,
 * McMeekin, Stokes & Chandler 1983, J. Bacteriol. 154:1222-1226. A form of its own, so that the
 * forecaster is never tested against itself.
 */
export interface ResponseShape {
  minC: number;
  maxC: number;
  /** Steepness of the fall towards `maxC` [1/K]; larger is sharper. */
  fallPerK: number;
}

const lowestC = -10;
const stepC = 0.05;
const entries = 1_501;

/** Square-root form, not normalised; 0 outside `minC`..`maxC`. */
const squareRootRate = ({ minC, maxC, fallPerK }: ResponseShape, tempC: number) =>
  tempC <= minC || tempC >= maxC ? 0 : ((tempC - minC) * (1 - Math.exp(fallPerK * (tempC - maxC)))) ** 2;

/**
 * A table of the response, 1 at its optimum and 0 outside the growth range, read by linear
 * interpolation. Valid from -10 to 65 °C; beyond, it is 0, as it is at both ends of the table.
 */
export function createResponse(shape: ResponseShape): (tempC: number) => number {
  const table = new Float64Array(entries);
  let peak = 0;
  for (let i = 0; i < entries; i += 1) {
    table[i] = squareRootRate(shape, lowestC + i * stepC);
    peak = Math.max(peak, table[i]!);
  }
  for (let i = 0; i < entries; i += 1) table[i]! /= peak;
  return (tempC) => {
    const at = (tempC - lowestC) / stepC;
    if (!(at > 0) || at >= entries - 1) return 0;
    const left = Math.floor(at);
    return table[left]! + (at - left) * (table[left + 1]! - table[left]!);
  };
}

const gasConstant = 8.314;

/**
 * Share of vigour lost per second in the heat: first-order inactivation, its rate after Arrhenius,
 * `perHourAtMax` at the upper growth limit and steeper above (activation energy 250 kJ/mol, the
 * order found for the heat death of fungi; assumed).
 */
export function heatLossPerS(tempC: number, maxC: number, perHourAtMax: number): number {
  if (tempC < maxC - 8) return 0;
  const exponent = (250_000 / gasConstant) * (1 / (maxC + 273.15) - 1 / (tempC + 273.15));
  return (perHourAtMax / 3600) * Math.exp(Math.min(exponent, 20));
}
