import { describe, expect, test } from 'vitest';
import type { Inoculation } from '../../shared/bags.ts';
import { at, batchOf, dayOf, engineWith } from '../unit/forecast/farm.ts';

/**
 * What the trade sees, at 24 °C in the room. Common practice, no source; the ranges are as spoken.
 */
function likelyReady(inoculation: Inoculation, options: Parameters<typeof batchOf>[0] = {}, now = 0.1) {
  const engine = engineWith([batchOf({ inoculation, ...options })], () => 24);
  const { ready, share } = engine.advance(at(now)).forecasts[0]!;
  return { day: dayOf(ready.at!.likely), share: share.likely };
}

const agar: Inoculation = { way: 'agar-wedges', pieces: 20 };

describe('oyster at 24 °C in a bag of 3.5 L (common practice, no source)', () => {
  test('agar, untouched: about 15 days', () => {
    const { day } = likelyReady(agar);
    expect(day).toBeGreaterThan(13.5);
    expect(day).toBeLessThan(16.5);
  });

  test('agar, shaken near 30 % a week in: about 10 days', () => {
    const before = likelyReady(agar, {}, 7);
    expect(before.share).toBeGreaterThan(0.2);
    expect(before.share).toBeLessThan(0.45);
    const { day } = likelyReady(agar, { shakes: [7] }, 7.1);
    expect(day).toBeGreaterThan(8.5);
    expect(day).toBeLessThan(11.5);
  });

  test('10 mL of liquid culture: 7 to 9 days', () => {
    const { day } = likelyReady({ way: 'liquid-culture', volumeMl: 10 });
    expect(day).toBeGreaterThan(7);
    expect(day).toBeLessThan(9);
  });

  test('grain to grain 1:10: 5 to 9 days, and slower at 1:20', () => {
    const ten = likelyReady({ way: 'grain-to-grain', partsPerSpawn: 10 }).day;
    expect(ten).toBeGreaterThan(5);
    expect(ten).toBeLessThan(9);
    expect(likelyReady({ way: 'grain-to-grain', partsPerSpawn: 20 }).day).toBeGreaterThan(ten + 0.5);
  });
});

test('a fast reishi, grain to grain: 5 to 6 days (common practice, no source)', () => {
  const { day } = likelyReady({ way: 'grain-to-grain', partsPerSpawn: 10 }, { strain: 'quick-reishi' });
  expect(day).toBeGreaterThan(4.5);
  expect(day).toBeLessThan(6.5);
});
