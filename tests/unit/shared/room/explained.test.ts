import { describe, expect, it } from 'vitest';
import { thermalOf } from '../../../../shared/heat/container.ts';
import {
  departuresOf,
  type ExplainQuestion,
  explainedBy,
  type LoadRoutine,
  routineOf,
} from '../../../../shared/room/explained.ts';
import { departureSdOf } from '../../../../shared/room/explained-spread.ts';
import type { PastLoad } from '../../../../shared/room/history.ts';
import { type RoomFit, usualOutsideC } from '../../../../shared/room/room-fit.ts';
import { meanOf } from '../../../../shared/stats/mean.ts';
import { dayMs, hourMs } from '../../../../shared/time.ts';
import { atOnce } from '../../../tools/at-once.ts';
import { dayHour, livedFit } from '../../../tools/lived-room.ts';
import { block } from '../../../tools/plan-question.ts';

const from = Date.UTC(2026, 4, 4);
const now = from + 6 * dayMs;
const usual = (t: number) => usualOutsideC(livedFit, dayHour(t));
const cart = (at: number): PastLoad => ({
  ...{ at, until: at + 20 * hourMs, cores: [] },
  load: { thermal: thermalOf(block), count: 150, startC: 95 },
});
const explain = (change: Partial<ExplainQuestion> = {}) =>
  atOnce(
    explainedBy({
      ...{ fit: livedFit, from, now, hoursAhead: 72, outsideC: usual, loads: [], localHour: dayHour },
      ...change,
    }),
  );
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
    const routine = routineOf(explained, now, dayHour);
    const routineK = routine.meanK;
    expect(routineK[16]!).toBeGreaterThan(0.3);
    const departures = departuresOf(explained, routine, now, dayHour);
    // The last day had none: that is known of its hours, and not of those of the days to come.
    const at16 = (day: number) => departures[day * 24 + 16]!;
    expect(at16(5)).toBeCloseTo(-routineK[16]!, 1);
    expect(Math.abs(at16(6))).toBeLessThan(0.15 * routineK[16]!);
    expect(Math.abs(at16(8))).toBeLessThan(0.02);
  });
});

describe('how unsure that is', () => {
  const sensed: RoomFit = { ...livedFit, outside: { ...livedFit.outside, from: 'sensor' } };
  const noRoutine = { meanK: new Float64Array(24), sdK: new Float64Array(24) };
  const spread = (change: Partial<ExplainQuestion>, routine: LoadRoutine = noRoutine) =>
    atOnce(
      departureSdOf(
        {
          ...{ fit: sensed, from: now - 3 * dayMs, now, hoursAhead: 72, outsideC: usual },
          ...{ loads: [], localHour: dayHour, ...change },
        },
        routine,
      ),
    );
  /** Mean of the second and third day ahead. */
  const later = (sdK: Float64Array): number => meanOf(sdK.subarray(24));
  const known = (fit: RoomFit, part: number): RoomFit => ({
    ...fit,
    covariance: fit.covariance.map((value) => value * part ** 2),
  });

  it('grows with the hours ahead, with what is not known of the room and of the weather', () => {
    const sdK = spread({});
    expect(sdK[0]!).toBeLessThan(0.3 * later(sdK));
    expect(later(sdK)).toBeGreaterThan(0.05);
    const calm = { ...sensed, outside: { ...sensed.outside, sdK: 0.5 } };
    expect(later(spread({ fit: calm }))).toBeLessThan(0.4 * later(sdK));
    const loads = [cart(now - 2 * hourMs)];
    const [surely, hardly] = [0.2, 3].map((part) => spread({ fit: known(calm, part), loads }));
    expect(meanOf(hardly!.subarray(0, 6))).toBeGreaterThan(3 * meanOf(surely!.subarray(0, 6)));
  });
  it('has nothing of the weather where no sensor tells it: what air did in it is what is usual', () => {
    const untold = { ...known(livedFit, 1e-3), outside: { ...livedFit.outside, from: 'learned' as const } };
    expect(Math.max(...spread({ fit: untold }))).toBeLessThan(0.01);
  });
  it('has what loads do on some days and not on others, once what stands there is over', () => {
    const routine = routineOf(
      explain({ loads: [0, 2, 5].map((day) => cart(from + day * dayMs + 14 * hourMs)) }),
      now,
      dayHour,
    );
    expect(routine.sdK[16]!).toBeGreaterThan(0.2);
    expect(routine.sdK[8]!).toBeLessThan(routine.sdK[16]!);
    const sdK = spread({ fit: known(sensed, 1e-3) }, routine);
    const without = spread({ fit: known(sensed, 1e-3) });
    expect(sdK[0]!).toBeCloseTo(without[0]!, 2);
    expect(sdK[40]!).toBeCloseTo(Math.hypot(without[40]!, routine.sdK[16]!), 2);
  });
  it('is the same for the same question', () => {
    expect(spread({})).toEqual(spread({}));
  });
});
