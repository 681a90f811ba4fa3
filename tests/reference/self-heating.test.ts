import { describe, expect, it } from 'vitest';
import { growHeatWPerKg, keepHeatWPerKg } from '../../shared/growth/own-heat.ts';
import { at, batchOf, engineWith } from '../unit/forecast/farm.ts';

describe('heat that bags make themselves', () => {
  it('lifts the core of a 3.5 L bag by 1 to 3 K at the peak of its run, and by less at its end', () => {
    // About 0.27 W/kg at 25 degC, bags 2-3 K over the room in days 15-30: published for compost, quoted in the models
    // of this project; 8-9 W/kg is composting and only an upper bound.
    const engine = engineWith([batchOf()], () => 24, 30);
    engine.advance(at(25));
    const rises = engine
      .curve('b1/1')!
      .points.filter(({ air }) => air === 'measured')
      .map(({ coreTempC, airTempC }) => coreTempC - airTempC!);
    const peak = Math.max(...rises);
    expect(peak).toBeGreaterThan(1);
    expect(peak).toBeLessThan(3);
    expect(rises.at(-1)!).toBeLessThan(peak);
    expect(rises[0]!).toBeLessThan(0.3);
  });

  /**
   * Burning glucose sets free 2,803 kJ/mol (enthalpy of combustion, CRC Handbook of Chemistry and Physics, from memory)
   * of 180.16 g, which takes six O2 of 31.998 g.
   */
  const glucoseKJPerG = 2_803 / 180.16;
  it('is counted by a heat of combustion that agrees with the heat of oxygen used up', () => {
    // Thornton 1917, Phil. Mag. 33:196-203: about the same for all organic matter; Huggett 1980, Fire and Materials
    // 4:61-65, has it at 13.1 kJ/g of O2, carbohydrates a little above (both from memory).
    const perGramO2KJ = 2_803 / (6 * 31.998);
    expect(perGramO2KJ / 13.1).toBeGreaterThan(1);
    expect(perGramO2KJ / 13.1).toBeLessThan(1.15);
  });
  it('is what burning a few per cent of the dry matter gives', () => {
    // What fungi burn while they grow through is of the size of what they build, at yields of 0.3 to 0.6 g/g (from
    // memory), and grown-through grain or substrate has some per cent of mycelium in it (assumed, no source).
    const dryG = 500;
    const burntPart = (kJPerKg: number) => kJPerKg / glucoseKJPerG / dryG;
    const growing = burntPart((86_400 * growHeatWPerKg) / 1000);
    expect(growing).toBeGreaterThan(0.005);
    expect(growing).toBeLessThan(0.05);
    const threeWeeks = growing + burntPart((21 * 86_400 * keepHeatWPerKg) / 1000);
    // Spawn runs on straw lose 5 to 15 % of it, and more over months (Zadrazil 1978, from memory): no bag of grain
    // loses more in three weeks.
    expect(threeWeeks).toBeLessThan(0.1);
  });
});
