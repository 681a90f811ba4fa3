import { describe, expect, it } from 'vitest';
import { thermalOf } from '../../../../shared/heat/container.ts';
import { departuresOf, explainedBy, routineOf } from '../../../../shared/room/explained.ts';
import type { PastLoad } from '../../../../shared/room/history.ts';
import { usualOutsideC } from '../../../../shared/room/room-fit.ts';
import { dayMs, hourMs } from '../../../../shared/time.ts';
import { dayHour, livedFit } from '../../../tools/lived-room.ts';
import { block } from '../../../tools/plan-question.ts';

const from = Date.UTC(2026, 4, 4);
const now = from + 6 * dayMs;
const usual = (t: number) => usualOutsideC(livedFit, dayHour(t));
const cart = (at: number): PastLoad => ({
  ...{ at, until: at + 20 * hourMs, cores: [] },
  load: { thermal: thermalOf(block), count: 150, startC: 95 },
});
const explain = (change: Partial<Parameters<typeof explainedBy>[0]> = {}) =>
  explainedBy({
    ...{ fit: livedFit, from, now, hoursAhead: 72, outsideC: usual, loads: [], localHour: dayHour },
    ...change,
  });
const hourAt = (t: number) => (t - from) / hourMs;

describe('what a room explains of its air', () => {
  it('is nothing on usual days', () => {
    const { weatherK, loadsK } = explain();
    expect(weatherK.length).toBe(9 * 24);
    expect(Math.max(...weatherK.subarray(72).map(Math.abs))).toBeLessThan(0.02);
    expect(Math.max(...loadsK)).toBe(0);
  });
  it('is the heat of a load while it lasts, and hardly more than its thermostat lets happen', () => {
    const at = now - 3 * hourMs;
    const { loadsK } = explain({ loads: [cart(at)] });
    expect(loadsK[hourAt(at) - 1]).toBe(0);
    const peak = Math.max(...loadsK);
    expect(peak).toBeGreaterThan(0.5);
    expect(peak).toBeLessThan(15);
    expect(loadsK.indexOf(peak)).toBeLessThan(hourAt(at) + 6);
    expect(loadsK[hourAt(at + 40 * hourMs)]).toBeLessThan(0.05 * peak);
  });
  it('goes with the weather, of which what is left fades', () => {
    const hot = explain({ outsideC: (t) => usual(t) + (t > now - 20 * hourMs ? 12 : 0) }).weatherK;
    const mild = explain().weatherK;
    const moreK = hot.map((k, hour) => k - mild[hour]!);
    expect(Math.max(...moreK.subarray(hourAt(now) - 4, hourAt(now) + 20))).toBeGreaterThan(0.2);
    expect(moreK.at(-1)!).toBeLessThan(0.5 * Math.max(...moreK));
    const unknown = explain({ outsideC: () => Number.NaN });
    unknown.weatherK.forEach((k, hour) => {
      expect(k).toBeCloseTo(mild[hour]!, 9);
    });
  });
  it('counts loads against what days usually have of them, and ahead only what is more', () => {
    const everyDay = Array.from({ length: 5 }, (_, day) => cart(from + day * dayMs + 14 * hourMs));
    const explained = explain({ loads: everyDay });
    const routineK = routineOf(explained, now, dayHour);
    expect(routineK[16]!).toBeGreaterThan(0.3);
    const departures = departuresOf(explained, routineK, now, dayHour);
    // The last day had none: that is known of its hours, and not of those of the days to come.
    const at16 = (day: number) => departures[day * 24 + 16]!;
    expect(at16(5)).toBeCloseTo(-routineK[16]!, 1);
    expect(Math.abs(at16(6))).toBeLessThan(0.15 * routineK[16]!);
    expect(Math.abs(at16(8))).toBeLessThan(0.02);
  });
});
