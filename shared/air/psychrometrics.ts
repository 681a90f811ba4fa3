import { AppError } from '../errors.ts';
import { inRange } from '../stats/range.ts';

// Out of range: every function here throws AppError 'out-of-range' and never returns NaN. Ask
// `isHumidAir` first where a value may come from a broken sensor.

/** Temperatures that the saturation formula holds for [°C]. */
const saturationRangeC = { low: -100, high: 200 } as const;
/** Sea level, standard atmosphere [Pa]. */
export const standardPressurePa = 101_325;
/** Molar mass of water over that of dry air; ASHRAE Fundamentals 2017, ch. 1. */
const massRatio = 0.621945;
/** Ice below, water above [°C]. */
const triplePointC = 0.01;

/** True when temperature and relative humidity can be turned into dew point, VPD and moisture ratio. */
export const isHumidAir = (tempC: number, rhPercent: number): boolean =>
  tempC >= saturationRangeC.low && tempC <= saturationRangeC.high && rhPercent > 0 && rhPercent <= 100;

/** ln of the saturation pressure and its slope; Hyland & Wexler as in ASHRAE Fundamentals 2017, ch. 1, eq. 5 and 6. */
function lnSaturation(tempC: number): { value: number; slope: number } {
  const t = tempC + 273.15;
  if (tempC <= triplePointC) {
    const value =
      -5.6745359e3 / t +
      6.3925247 +
      t * (-9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 - t * 9.484024e-13))) +
      4.1635019 * Math.log(t);
    const slope =
      5.6745359e3 / (t * t) -
      9.677843e-3 +
      t * (2 * 6.2215701e-7 + t * (3 * 2.0747825e-9 - t * 4 * 9.484024e-13)) +
      4.1635019 / t;
    return { value, slope };
  }
  const value =
    -5.8002206e3 / t +
    1.3914993 +
    t * (-4.8640239e-2 + t * (4.1764768e-5 - t * 1.4452093e-8)) +
    6.5459673 * Math.log(t);
  const slope =
    5.8002206e3 / (t * t) - 4.8640239e-2 + t * (2 * 4.1764768e-5 - t * 3 * 1.4452093e-8) + 6.5459673 / t;
  return { value, slope };
}

/** Saturation pressure of water vapour [Pa], over ice below 0.01 °C; -100 to 200 °C. */
export const saturationPressurePa = (tempC: number): number =>
  Math.exp(
    lnSaturation(inRange('temperature', tempC, saturationRangeC.low, saturationRangeC.high, 'degC')).value,
  );

/** Partial pressure of water vapour [Pa]; relative humidity 0 to 100 %. */
const vapourPressurePa = (tempC: number, rhPercent: number): number =>
  (saturationPressurePa(tempC) * inRange('relative humidity', rhPercent, 0, 100, '%')) / 100;

/**
 * Dew point, or frost point below 0 °C [°C]: where the vapour pressure is the saturation pressure, by
 * Newton's method on its logarithm. Never above the temperature itself.
 * @throws AppError 'out-of-range' also for 0 % humidity and dew points below -100 °C.
 */
export function dewPointC(tempC: number, rhPercent: number): number {
  const pressurePa = vapourPressurePa(tempC, rhPercent);
  if (!(pressurePa >= saturationPressurePa(saturationRangeC.low)))
    throw new AppError(
      'out-of-range',
      `no dew point: ${tempC} degC with ${rhPercent} % relative humidity is drier than a dew point of ${saturationRangeC.low} degC`,
      { details: { tempC, rhPercent } },
    );
  const target = Math.log(pressurePa);
  let dewC = tempC;
  for (let round = 0; round < 100; round++) {
    const { value, slope } = lnSaturation(dewC);
    const nextC = Math.min(tempC, Math.max(saturationRangeC.low, dewC - (value - target) / slope));
    if (Math.abs(nextC - dewC) < 1e-9) return nextC;
    dewC = nextC;
  }
  return dewC;
}

/** How much more vapour the air could hold [Pa]. */
export const vapourPressureDeficitPa = (tempC: number, rhPercent: number): number =>
  saturationPressurePa(tempC) - vapourPressurePa(tempC, rhPercent);

/**
 * Water per dry air [kg/kg].
 * @throws AppError 'out-of-range' also where the vapour pressure reaches the air pressure.
 */
export function moistureRatio(tempC: number, rhPercent: number, pressurePa = standardPressurePa): number {
  const vapourPa = vapourPressurePa(tempC, rhPercent);
  inRange('air pressure', pressurePa, 30_000, 200_000, 'Pa');
  if (vapourPa >= pressurePa)
    throw new AppError(
      'out-of-range',
      `air of ${tempC} degC and ${rhPercent} % would hold ${Math.round(vapourPa)} Pa of vapour, above the air pressure of ${pressurePa} Pa`,
      { details: { tempC, rhPercent, pressurePa } },
    );
  return (massRatio * vapourPa) / (pressurePa - vapourPa);
}

/** Magnus form over water [Pa], (17.62, 243.12, 611.2) of WMO-No. 8; within 0.3 % from -45 to 60 °C. */
export const magnusSaturationPa = (tempC: number): number =>
  611.2 * Math.exp((17.62 * inRange('temperature', tempC, -45, 100, 'degC')) / (243.12 + tempC));

/** Dew point by the Magnus form [°C]: one logarithm, for screens that draw thousands of points. */
export function magnusDewPointC(tempC: number, rhPercent: number): number {
  inRange('relative humidity', rhPercent, 0.1, 100, '%');
  const gamma = Math.log((magnusSaturationPa(tempC) * rhPercent) / 100 / 611.2);
  return (243.12 * gamma) / (17.62 - gamma);
}
