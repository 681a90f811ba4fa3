import { expect, test } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { stepMs } from '../../../collector/forecast/grid.ts';
import { at, batchOf, farm } from './farm.ts';

/** A fault once: a core kept starting from what little was known of the air when its batch was recorded. */
test('readings that come while a batch’s first step still runs count for where its core starts', () => {
  const readings = [0, 2, 4].map((minute) => ({ t: at(0) + minute * 60_000, value: 30 - 5 * minute }));
  const core = (advanceBetween: boolean): number => {
    const engine = createEngine();
    engine.setFarm(farm);
    engine.setBatches([batchOf()]);
    for (const { t, value } of readings) {
      if (advanceBetween) engine.advance(t);
      engine.addReadings('on-a1.temperature', [t], [value]);
    }
    return engine.advance(at(0) + stepMs).forecasts[0]!.coreTempC;
  };
  expect(core(true)).toBe(core(false));
});
