import { describe, expect, it } from 'vitest';
import type { Container } from '../../../../shared/farm/schema.ts';
import { thermalOf } from '../../../../shared/heat/container.ts';
import { createLoad } from '../../../../shared/heat/load.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { type FollowQuestion, followLoad } from '../../../../shared/unload/follow.ts';

const container: Container = {
  id: 'block',
  name: 'block',
  kind: 'block',
  shape: { form: 'brick', widthM: 0.1, depthM: 0.14, heightM: 0.2 },
  massKg: 2,
  volumeL: 2.8,
  moisture: 0.6,
  shakeable: false,
};
const at = Date.UTC(2026, 3, 6, 13);
const expectedC = (t: number): number => 22 + 5 * Math.exp(-(t - at) / (3 * hourMs));

/** What a slow load shows after some hours [°C]. */
function slowLoadC(hours: number): number {
  const load = createLoad({ thermal: thermalOf(container), count: 1, startC: 97, filmFactor: 0.33 });
  for (let minute = 0; minute < 60 * hours; minute++) load.step(expectedC(at + minute * minuteMs), 60);
  return load.coreC();
}

function question(hours: number, change: Partial<FollowQuestion> = {}): FollowQuestion {
  const steps = Math.round(hours * 12) + 1;
  return {
    container,
    load: { container: 'block', count: 60, startC: null },
    air: {
      firstT: at,
      stepMs: 5 * minuteMs,
      airC: Float64Array.from({ length: steps }, (_, step) => expectedC(at + step * 5 * minuteMs)),
      outsideC: new Float64Array(steps).fill(Number.NaN),
    },
    at,
    now: at + hours * hourMs,
    spots: [],
    aheadC: expectedC,
    inoculateBelowC: 27,
    cautionC: 60,
    ...change,
  };
}

describe('a load that stands in a room', () => {
  it('as it comes in: hot, not to be touched, ready after hours', () => {
    const { coreC, surfaceC, inoculateAt, touchAt, remarks, heard } = followLoad(question(0));
    expect(coreC.likely).toBeCloseTo(96, 0);
    expect(surfaceC).toBeGreaterThan(95);
    expect(touchAt!).toBeGreaterThan(at + 10 * minuteMs);
    expect(touchAt!).toBeLessThan(inoculateAt!.likely);
    expect(inoculateAt!.earliest).toBeLessThan(inoculateAt!.likely);
    expect(remarks).toEqual([]);
    expect(heard).toBe(0);
  });
  it('may be touched once its face is surely below the caution', () => {
    const { touchAt, surfaceC } = followLoad(question(9));
    expect(surfaceC).toBeLessThan(60);
    expect(touchAt).toBeNull();
  });
  it('a reading moves the hour and narrows it, and says that this load is slow', () => {
    const before = followLoad(question(4));
    const spots = [2, 4].map((hours) => ({
      t: at + hours * hourMs,
      where: 'core' as const,
      tempC: slowLoadC(hours),
    }));
    const after = followLoad(question(4, { spots }));
    expect(after.heard).toBe(2);
    expect(after.inoculateAt!.likely).toBeGreaterThan(before.inoculateAt!.likely + hourMs);
    expect(after.inoculateAt!.latest - after.inoculateAt!.earliest).toBeLessThan(
      before.inoculateAt!.latest - before.inoculateAt!.earliest,
    );
    expect(after.remarks.join()).toContain('more slowly than loads here do');
    expect(after.learned.lnFilm.mean).toBeLessThan(Math.log(0.5));
  });
  it('what a site knows of its carts is believed before the assumption', () => {
    const slow = followLoad(question(1, { filmFactor: { mean: Math.log(0.35), sd: 0.08 } }));
    const assumed = followLoad(question(1));
    expect(slow.inoculateAt!.likely).toBeGreaterThan(assumed.inoculateAt!.likely);
  });
  it('a reading of something else is set aside with why', () => {
    const spots = [{ t: at + hourMs, where: 'core' as const, tempC: 31 }];
    const { remarks, heard } = followLoad(question(2, { spots }));
    expect(heard).toBe(0);
    expect(remarks[0]).toMatch(/another bag, or a wrong place/);
  });
  it('a room that went silent midway is filled with what was expected, and that is said', () => {
    const whole = question(4);
    const airC = whole.air.airC.map((tempC, step) => (step > 12 ? Number.NaN : tempC));
    const silent = followLoad({ ...whole, air: { ...whole.air, airC } });
    expect(silent.remarks).toEqual([
      "The room's air was not measured for 180 min of it: what was expected stands in.",
    ]);
    expect(Math.abs(silent.inoculateAt!.likely - followLoad(whole).inoculateAt!.likely)).toBeLessThan(
      5 * minuteMs,
    );
  });
  it('a room without any sensor is followed through what is expected', () => {
    const none = {
      firstT: at,
      stepMs: 5 * minuteMs,
      airC: new Float64Array(0),
      outsideC: new Float64Array(0),
    };
    const { inoculateAt, remarks } = followLoad(question(4, { air: none }));
    expect(Math.abs(inoculateAt!.likely - followLoad(question(4)).inoculateAt!.likely)).toBeLessThan(
      10 * minuteMs,
    );
    expect(remarks[0]).toContain('240 min');
  });
  it('is never ready in a room warmer than the inoculation temperature', () => {
    expect(followLoad(question(1, { aheadC: () => 31 })).inoculateAt).toBeNull();
  });
});
