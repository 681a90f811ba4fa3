import { describe, expect, it } from 'vitest';
import { type SensorUnit, sensorUnit } from '../../../../shared/farm/schema.ts';
import { quantity } from '../../../../shared/readings.ts';
import {
  celsiusToFahrenheit,
  kelvinToFahrenheitDifference,
  kgToLb,
  toSi,
  unitsOf,
} from '../../../../shared/units/convert.ts';

const everyUnit: SensorUnit[] = sensorUnit.options;

describe('toSi', () => {
  it.each([
    [77, 'degF', 'temperature', 25],
    [-40, 'degF', 'probe-temperature', -40],
    [298.15, 'K', 'temperature', 25],
    [21.5, 'degC', 'temperature', 21.5],
    [0.63, 'fraction', 'humidity', 63],
    [63, '%', 'humidity', 63],
    [1013.25, 'hPa', 'pressure', 101_325],
    [0.08, '%', 'co2', 800],
    [0.0008, 'fraction', 'co2', 800],
    [800, 'ppm', 'co2', 800],
    [0.9, 'fraction', 'battery', 90],
    [2.5, 'V', 'battery', 50],
    [3.2, 'V', 'battery', 100],
    [1.1, 'V', 'battery', 0],
    [1, 'state', 'cooler-on', 100],
    [0, 'state', 'cooler-on', 0],
    [0.4, 'fraction', 'cooler-on', 40],
  ] as const)('%d %s of %s is %d', (value, unit, of, si) => expect(toSi(value, unit, of)).toBeCloseTo(si, 9));

  it('refuses a unit that cannot measure the quantity, and says which can', () => {
    expect(() => toSi(20, 'ppm', 'temperature')).toThrow(
      'temperature cannot be in ppm; it is kept in degC and may be sent in degC, degF, K',
    );
    for (const of of quantity.options)
      for (const unit of everyUnit)
        if (unitsOf(of).includes(unit)) expect(Number.isFinite(toSi(1, unit, of, 0.5))).toBe(true);
        else expect(() => toSi(1, unit, of)).toThrow(/cannot be in/);
  });

  it('takes a power for on above the level given, and for nothing without one', () => {
    expect([119, 120, 121].map((powerW) => toSi(powerW, 'W', 'cooler-on', 120))).toEqual([0, 0, 100]);
    expect(toSi(500, 'W', 'cooler-on')).toBeNaN();
    expect(toSi(Number.NaN, 'W', 'cooler-on', 120)).toBeNaN();
  });

  it('leaves it to the validator to judge what is not a number', () => {
    expect(toSi(Number.NaN, 'degF', 'temperature')).toBeNaN();
    expect(toSi(Infinity, 'hPa', 'pressure')).toBe(Infinity);
  });
});

it('shows temperatures, differences and masses as screens want them', () => {
  expect(celsiusToFahrenheit(100)).toBe(212);
  expect(kelvinToFahrenheitDifference(0.5)).toBeCloseTo(0.9, 12);
  // International pound: exactly 0.45359237 kg.
  expect(kgToLb(0.45359237)).toBeCloseTo(1, 14);
});
