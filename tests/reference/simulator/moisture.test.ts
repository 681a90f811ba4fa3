import { expect, it } from 'vitest';
import { relativeHumidity, saturationGPerKg, saturationPa } from '../../../simulator/room/moisture.ts';

/** ASHRAE Fundamentals 2017, saturation pressure over water: 5 °C 872.6 Pa, 25 °C 3169.7, 50 °C 12351.3. */
it('has the saturation pressure of water', () => {
  for (const [tempC, pa] of [
    [5, 872.6],
    [25, 3169.7],
    [50, 12_351.3],
  ] as const)
    expect(saturationPa(tempC) / pa).toBeCloseTo(1, 2);
});

it('tells relative humidity from the water in the air, and no more than 100 %', () => {
  for (const tempC of [10, 21, 30]) {
    expect(relativeHumidity(saturationGPerKg(tempC), tempC)).toBeCloseTo(100, 6);
    expect(relativeHumidity(saturationGPerKg(tempC) / 2, tempC)).toBeLessThan(52);
    expect(relativeHumidity(60, tempC)).toBe(100);
  }
});
