import psychrolib from 'psychrolib';
import { describe, expect, it } from 'vitest';
import { wbgtIndoorsC, wetBulbC } from '../../shared/air/heat-stress.ts';
import {
  dewPointC,
  isHumidAir,
  magnusDewPointC,
  magnusSaturationPa,
  moistureRatio,
  saturationPressurePa,
  vapourPressureDeficitPa,
} from '../../shared/air/psychrometrics.ts';

psychrolib.SetUnitSystem(psychrolib.SI);

describe('published tables', () => {
  it.each([
    // ASHRAE Handbook of Fundamentals 2017, ch. 1, table 3, as quoted in the tests of PsychroLib 2.4.0; the handbook
    // claims 300 ppm for its formula.
    [-20, 103.24],
    [-5, 401.74],
    [5, 872.6],
    [25, 3169.7],
    [50, 12351.3],
    [100, 101418],
    [150, 476101.4],
  ])('saturation pressure at %d degC: %d Pa', (tempC, pressurePa) =>
    expect(Math.abs(saturationPressurePa(tempC) / pressurePa - 1)).toBeLessThan(3e-4),
  );
  it('saturation pressure at -60 degC: 1.08 Pa', () =>
    expect(Math.abs(saturationPressurePa(-60) - 1.08)).toBeLessThan(0.01));

  it.each([
    // Same handbook, ch. 1, table 2 (saturated air at 101325 Pa), with the tolerances that PsychroLib's tests name.
    [-20, 0.0006373, 0.01],
    [-5, 0.0024863, 0.005],
    [5, 0.005425, 0.005],
    [25, 0.020173, 0.005],
    [50, 0.086863, 0.01],
    [85, 0.838105, 0.02],
  ])('moisture ratio of saturated air at %d degC: %d', (tempC, ratio, tolerance) =>
    expect(Math.abs(moistureRatio(tempC, 100) / ratio - 1)).toBeLessThan(tolerance),
  );

  it('Magnus (17.62, 243.12 K, 6.112 hPa; WMO-No. 8): 25 degC and 50 % give 13.85 degC and 1.580 kPa', () => {
    expect(magnusDewPointC(25, 50)).toBeCloseTo(13.85, 2);
    expect(magnusSaturationPa(25) * 0.5).toBeCloseTo(1580, 0);
  });
});

describe('against psychrolib', () => {
  const temperatures = [-40, -20, -5, -0.5, 0, 0.5, 5, 12, 20, 25, 30, 45, 60, 95];
  const humidities = [1, 10, 35, 50, 80, 95, 100];

  it('saturation pressure', () => {
    for (let tempC = -99; tempC <= 199; tempC += 1.7)
      expect(saturationPressurePa(tempC) / psychrolib.GetSatVapPres(tempC)).toBeCloseTo(1, 10);
  });
  it('wet bulb from 2 to 60 degC', () => {
    for (let tempC = 2; tempC <= 60; tempC += 2)
      for (const rh of [30, 50, 70, 90, 100]) {
        const theirs = psychrolib.GetTWetBulbFromRelHum(tempC, rh / 100, 101_325);
        if (theirs > 0) expect(Math.abs(wetBulbC(tempC, rh) - theirs)).toBeLessThan(0.01);
      }
  });
  it('wet-bulb globe temperature is that of the air where it is saturated, and less where it is not', () => {
    expect(wbgtIndoorsC(30, 100)).toBeCloseTo(30, 6);
    const dry = wbgtIndoorsC(34, 40);
    expect(dry).toBeCloseTo(0.7 * psychrolib.GetTWetBulbFromRelHum(34, 0.4, 101_325) + 0.3 * 34, 2);
    expect(() => wetBulbC(95, 50)).toThrow(/temperature/);
  });
  it('dew point and moisture ratio', () => {
    for (const tempC of temperatures)
      for (const rh of humidities) {
        const where = `${tempC} degC, ${rh} %`;
        // psychrolib stops within 0.001 K.
        const dewC = psychrolib.GetTDewPointFromRelHum(tempC, rh / 100);
        expect(Math.abs(dewPointC(tempC, rh) - dewC), where).toBeLessThan(0.002);
        for (const pressurePa of [101_325, 84_500]) {
          const ratio = psychrolib.GetHumRatioFromRelHum(tempC, rh / 100, pressurePa);
          // psychrolib holds ratios at 1e-7 or above.
          if (ratio > 1e-6 && ratio < 10)
            expect(moistureRatio(tempC, rh, pressurePa) / ratio, where).toBeCloseTo(1, 9);
        }
      }
  });
  it('vapour pressure deficit', () => {
    for (const tempC of temperatures)
      for (const rh of humidities) {
        const ratio = psychrolib.GetHumRatioFromRelHum(tempC, rh / 100, 150_000);
        const deficit = psychrolib.GetVaporPressureDeficit(tempC, ratio, 150_000);
        if (ratio > 1e-6) expect(vapourPressureDeficitPa(tempC, rh)).toBeCloseTo(deficit, 5);
      }
  });
});

describe('laws and edges', () => {
  it('dew point turned back gives the humidity; never above the temperature', () => {
    for (let tempC = -60; tempC <= 120; tempC += 3)
      for (const rh of [0.5, 5, 33, 66, 99, 100]) {
        const dewC = dewPointC(tempC, rh);
        expect(dewC).toBeLessThanOrEqual(tempC);
        expect((saturationPressurePa(dewC) / saturationPressurePa(tempC)) * 100).toBeCloseTo(rh, 4);
      }
  });
  it('Magnus agrees with the full formula to 0.1 K over indoor air', () => {
    for (let tempC = 0; tempC <= 50; tempC += 2)
      for (const rh of [30, 60, 90])
        if (dewPointC(tempC, rh) > 0)
          expect(Math.abs(magnusDewPointC(tempC, rh) - dewPointC(tempC, rh))).toBeLessThan(0.1);
  });
  it('refuses what cannot be, naming it', () => {
    expect(() => saturationPressurePa(201)).toThrow(/temperature is 201 degC; it must lie in -100 to 200/);
    expect(() => saturationPressurePa(Number.NaN)).toThrow(/temperature is NaN/);
    expect(() => dewPointC(20, 101)).toThrow(/relative humidity is 101/);
    expect(() => dewPointC(20, 0)).toThrow(/no dew point/);
    expect(() => moistureRatio(100, 100)).toThrow(/above the air pressure/);
    expect(isHumidAir(20, 0)).toBe(false);
    expect(isHumidAir(60, 100)).toBe(true);
    expect(isHumidAir(Number.NaN, 50)).toBe(false);
  });
});
