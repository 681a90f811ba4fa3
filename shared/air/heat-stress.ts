import { inRange } from '../stats/range.ts';
import { findRoot } from '../stats/root.ts';
import { moistureRatio, standardPressurePa } from './psychrometrics.ts';

/**
 * Thermodynamic wet-bulb temperature [°C] at which saturated air gives the moisture there is; ASHRAE Fundamentals
 * 2017, ch. 1, eq. 33 (above freezing).
 * @throws AppError 'out-of-range' outside 0 to 80 °C and 1 to 100 %.
 */
export function wetBulbC(tempC: number, rhPercent: number, pressurePa = standardPressurePa): number {
  inRange('temperature', tempC, 0, 80, 'degC');
  inRange('relative humidity', rhPercent, 1, 100, '%');
  const ratio = moistureRatio(tempC, rhPercent, pressurePa);
  const excess = (wetC: number): number =>
    ((2501 - 2.326 * wetC) * moistureRatio(wetC, 100, pressurePa) - 1.006 * (tempC - wetC)) /
      (2501 + 1.86 * tempC - 4.186 * wetC) -
    ratio;
  // At or below freezing the equation over ice would hold; air that dry is no strain on anybody.
  if (excess(0) >= 0) return 0;
  return excess(tempC) <= 0 ? tempC : findRoot(excess, 0, tempC);
}

/**
 * Wet-bulb globe temperature indoors after ISO 7243, estimated [°C]: 0.7 natural wet bulb + 0.3 globe, with the
 * wet bulb of moving air for the natural one and the air for the globe. Where air is still or hot surfaces are
 * near the true value is a kelvin or more higher: information, no clearance to work.
 */
export const wbgtIndoorsC = (tempC: number, rhPercent: number): number =>
  0.7 * wetBulbC(tempC, rhPercent) + 0.3 * tempC;
