import { describe, expect, it } from 'vitest';
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
});
