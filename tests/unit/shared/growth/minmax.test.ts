import { describe, expect, it } from 'vitest';
import { curveFromMinMax } from '../../../../shared/growth/minmax.ts';
import { dayMs, hourMs } from '../../../../shared/time.ts';

const start = Date.UTC(2024, 4, 6, 7);
const days = [
  { start, minC: 18, maxC: 24 },
  { start: start + dayMs, minC: 20, maxC: 26 },
];

describe('day curve of a hand-written log', () => {
  const curve = curveFromMinMax(days);
  const at = (hours: number): number => curve.find(({ t }) => t === start + hours * hourMs)!.tempC;

  it('passes through each minimum at 6 and each maximum at 15 o clock', () => {
    expect(at(6)).toBeCloseTo(18, 9);
    expect(at(15)).toBeCloseTo(24, 9);
    expect(at(30)).toBeCloseTo(20, 9);
    expect(at(39)).toBeCloseTo(26, 9);
    // Half way down the evening: half way between maximum and next minimum.
    expect(at(22.5)).toBeCloseTo(22, 9);
  });
  it('covers its days and nothing else, every quarter of an hour', () => {
    expect(curve).toHaveLength(2 * 96);
    expect(curve[0]!.t).toBe(start);
    expect(curve.at(-1)!.t).toBe(start + 2 * dayMs - hourMs / 4);
    for (const { tempC } of curve) {
      expect(tempC).toBeGreaterThanOrEqual(18);
      expect(tempC).toBeLessThanOrEqual(26);
    }
  });
  it('leaves a missing day empty', () => {
    const gap = curveFromMinMax([days[0]!, { ...days[1]!, start: start + 3 * dayMs }]);
    expect(gap.some(({ t }) => t >= start + dayMs && t < start + 3 * dayMs)).toBe(false);
    expect(gap).toHaveLength(2 * 96);
  });
  it('takes days in any order, the same line twice, and days of 23 or 25 hours', () => {
    expect(curveFromMinMax([days[1]!, days[0]!, days[1]!])).toEqual(curve);
    const long = curveFromMinMax([days[0]!, { ...days[1]!, start: start + 25 * hourMs }]);
    expect(long.filter(({ t }) => t >= start && t < start + 25 * hourMs)).toHaveLength(100);
  });
  it('says which line is wrong, and why', () => {
    expect(() => curveFromMinMax([days[0]!, { start, minC: 30, maxC: 20 }])).toThrow(
      'line 2 of the minimum and maximum log: minimum 30 is above maximum 20 degC',
    );
    expect(() => curveFromMinMax([days[0]!, { ...days[0]!, maxC: 25 }])).toThrow(
      'lines 1 and 2 of the minimum and maximum log are different entries for one day; keep one',
    );
    expect(() => curveFromMinMax([{ start, minC: 64, maxC: 78 }])).toThrow(/must lie in -60 to 70 degC/);
    expect(() => curveFromMinMax([{ start: Number.NaN, minC: 1, maxC: 2 }])).toThrow(/line 1.*no date/);
    expect(() => curveFromMinMax(days, { minHour: 15, maxHour: 6 })).toThrow(/found 15 and 6/);
  });
  it('of nothing is nothing', () => expect(curveFromMinMax([])).toEqual([]));
});
