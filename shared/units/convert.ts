import { AppError } from '../errors.ts';
import type { SensorUnit } from '../farm/schema.ts';
import { type Quantity, siUnitOf } from '../readings.ts';

const zeroCelsiusK = 273.15;
const poundsPerKg = 1 / 0.45359237;

type ToSi = (value: number, onAboveW: number) => number;
const same: ToSi = (value) => value;

const temperatures: Partial<Record<SensorUnit, ToSi>> = {
  degC: same,
  degF: (value) => (value - 32) / 1.8,
  K: (value) => value - zeroCelsiusK,
};

/**
 * A resting 3 V cell (lithium coin, two alkaline): 2.0 V empty, 3.0 V full, straight between (assumed;
 * common practice). Other chemistries should send their charge in % instead.
 */
const threeVoltCharge: ToSi = (volts) => Math.min(100, Math.max(0, (volts - 2) * 100));

const onOfPower: ToSi = (powerW, onAboveW) => {
  if (Number.isNaN(powerW + onAboveW)) return Number.NaN;
  return powerW > onAboveW ? 100 : 0;
};

const conversions: Record<Quantity, Partial<Record<SensorUnit, ToSi>>> = {
  temperature: temperatures,
  'probe-temperature': temperatures,
  humidity: { '%': same, fraction: (value) => value * 100 },
  co2: { ppm: same, '%': (value) => value * 1e4, fraction: (value) => value * 1e6 },
  pressure: { Pa: same, hPa: (value) => value * 100 },
  battery: { '%': same, fraction: (value) => value * 100, V: threeVoltCharge },
  'cooler-on': {
    state: (value) => value * 100,
    '%': same,
    fraction: (value) => value * 100,
    W: onOfPower,
  },
};

/** Units that a quantity may be sent in. */
export const unitsOf = (quantity: Quantity): SensorUnit[] =>
  Object.keys(conversions[quantity]) as SensorUnit[];

/**
 * A value as sent, in the SI unit of its quantity (`siUnitOf`). NaN and infinities pass through: whether a
 * value is plausible is for the validator to say. A state is 1 or 0.
 * @param onAboveW power above which a cooler counts as on [W]; without it a power says nothing, NaN
 * @throws AppError 'out-of-range' when the quantity cannot be measured in that unit.
 */
export function toSi(
  value: number,
  unit: SensorUnit,
  quantity: Quantity,
  onAboveW: number = Number.NaN,
): number {
  const convert = conversions[quantity][unit];
  if (convert === undefined)
    throw new AppError(
      'out-of-range',
      `${quantity} cannot be in ${unit}; it is kept in ${siUnitOf[quantity]} and may be sent in ${unitsOf(quantity).join(', ')}`,
      { details: { quantity, unit } },
    );
  return convert(value, onAboveW);
}

export const celsiusToFahrenheit = (tempC: number): number => tempC * 1.8 + 32;
export const fahrenheitToCelsius = (tempF: number): number => (tempF - 32) / 1.8;
/** A difference, a spread or a deadband: no 32 in it. */
export const kelvinToFahrenheitDifference = (differenceK: number): number => differenceK * 1.8;
/** International avoirdupois pound, exactly 0.45359237 kg. */
export const kgToLb = (massKg: number): number => massKg * poundsPerKg;
export const lbToKg = (massLb: number): number => massLb / poundsPerKg;
