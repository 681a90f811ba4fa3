import { describe, expect, it } from 'vitest';
import { halfRiseMin, swingOf } from '../../../../shared/room/swing-laws.ts';
import { dutyStretches, middleRise, middleSwing, turnsOf } from '../../../../shared/room/swings.ts';

/** Air that falls for `falls` minutes and rises for `rises`, by a kelvin. */
const sawtooth = (falls: number, rises: number, minutes: number): number[] =>
  Array.from({ length: minutes }, (_, i) => {
    const at = i % (falls + rises);
    return 22 - (at < falls ? at / falls : 1 - (at - falls) / rises);
  });

describe('swings of a thermostat', () => {
  const air = sawtooth(6, 14, 600);

  it('tells how long the air falls, how often and how far', () => {
    const stretches = dutyStretches(air, turnsOf(air, 1));
    expect(stretches.length).toBeGreaterThan(5);
    for (const { falling, swings, from, to, swingK } of stretches) {
      expect(falling).toBeCloseTo(0.3, 2);
      expect((to - from) / swings).toBeCloseTo(20, 6);
      expect(swingK).toBeCloseTo(1, 6);
    }
    expect(middleSwing(stretches, 60)?.periodS).toBeCloseTo(1_200, 6);
    expect(middleRise(air, 1, turnsOf(air, 1))).toEqual({ lengthMin: 14, halfMin: expect.closeTo(7, 6) });
  });

  it('sees none in still air, noise, slow days, or samples too far apart', () => {
    const noise = Array.from({ length: 600 }, (_, i) => 22 + 0.05 * Math.sin(i * i));
    const day = Array.from({ length: 2_880 }, (_, i) => 22 + 2 * Math.sin((i / 1_440) * 2 * Math.PI));
    for (const still of [new Array<number>(600).fill(22), noise, day])
      expect(dutyStretches(still, turnsOf(still, 1))).toEqual([]);
    expect(turnsOf(air, 5)).toEqual([]);
  });

  it('does not reach over a gap of hours', () => {
    const gap = [
      ...sawtooth(6, 14, 300),
      ...new Array<number>(300).fill(Number.NaN),
      ...sawtooth(6, 14, 300),
    ];
    for (const { from, to } of dutyStretches(gap, turnsOf(gap, 1))) expect(to - from).toBeLessThan(300);
  });
});

describe('what a room has its swings be', () => {
  const swing = { periodS: 1_200, used: 0.4 };

  it('more cooling and less coupling swing more, and slow air swings less', () => {
    const usual = swingOf(swing, 2_000, 400, 300);
    expect(swingOf(swing, 3_000, 400, 300)).toBeGreaterThan(usual);
    expect(swingOf(swing, 2_000, 600, 300)).toBeLessThan(usual);
    expect(swingOf(swing, 2_000, 400, 900)).toBeLessThan(usual);
  });

  it('slow air rises straight, quick air at once', () => {
    expect(halfRiseMin(12, 1e6) - halfRiseMin(12, 60)).toBeCloseTo(6 - Math.LN2, 2);
  });
});
