import { describe, expect, it } from 'vitest';
import type { Container } from '../../../../shared/farm/schema.ts';
import { thermalOf } from '../../../../shared/heat/container.ts';
import { createLoad } from '../../../../shared/heat/load.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { expectedAt } from '../../../../shared/unload/expected.ts';
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
  it('tells its whole curve: from the start, through now, until it is cool', () => {
    const spots = [2, 4].map((hours) => ({
      t: at + hours * hourMs,
      where: 'core' as const,
      tempC: slowLoadC(hours),
    }));
    const { core, coreC, inoculateAt, learned } = followLoad(question(4, { spots }));
    expect(core[0]!.t).toBe(at);
    expect(core[0]!.value.likely).toBeGreaterThan(90);
    for (let index = 1; index < core.length; index++) {
      const stepMs = core[index]!.t - core[index - 1]!.t;
      expect(stepMs).toBeGreaterThan(0);
      expect(stepMs).toBeLessThanOrEqual(20 * minuteMs);
    }
    expect(core.find(({ t }) => t === at + 4 * hourMs)!.value.likely).toBeCloseTo(coreC.likely, 1);
    // It passes through what was read, and meets the inoculation temperature when it is said to.
    for (const { t, tempC } of spots) expect(Math.abs(expectedAt(core, t)!.likely - tempC)).toBeLessThan(1.5);
    expect(Math.abs(expectedAt(core, inoculateAt!.likely)!.likely - 27)).toBeLessThan(0.6);
    expect(core.at(-1)!.value.likely).toBeLessThan(27);
    expect(core.at(-1)!.t).toBeLessThanOrEqual(at + 28 * hourMs);
    expect(learned.lnFilm.mean).toBeLessThan(0);
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
    // Not for the rest of the day, and not once the same hand has read another.
    expect(followLoad(question(4, { spots })).remarks).toEqual([]);
    const again = [...spots, { t: at + 1.5 * hourMs, where: 'core' as const, tempC: slowLoadC(1.5) }];
    expect(followLoad(question(1.6, { spots: again }))).toMatchObject({ heard: 1, remarks: [] });
  });
  it('an infrared reading of something else is set aside and says how to aim; the next one counts', () => {
    const aimed = (hours: number, tempC: number) => ({
      t: at + hours * hourMs,
      where: 'surface' as const,
      tempC,
    });
    // The wall behind it, then bare metal, then the side of a bag.
    const wall = followLoad(question(1, { spots: [aimed(1, 25.5)] }));
    expect(wall).toMatchObject({ heard: 0, asideNow: [] });
    expect(wall.remarks[0]).toMatch(/reads the room's air.* aim from close by at the side of a middle one/);
    const metal = followLoad(question(1, { spots: [aimed(1, 33)] }));
    expect(metal.remarks[0]).toMatch(/another bag, bare metal or foil, or from too far away/);
    const spots = [aimed(0.9, 25.5), aimed(0.95, 25.4), aimed(1, 66)];
    expect(followLoad(question(1, { spots }))).toMatchObject({ heard: 1 });
  });
  it('of one that cools faster than others it is said without alarm', () => {
    const load = createLoad({ thermal: thermalOf(container), count: 1, startC: 97, filmFactor: 1.8 });
    const spots: { t: number; where: 'core'; tempC: number }[] = [];
    for (let minute = 1; minute <= 150; minute++) {
      load.step(expectedC(at + minute * minuteMs), 60);
      if (minute % 50 === 0) spots.push({ t: at + minute * minuteMs, where: 'core', tempC: load.coreC() });
    }
    const { remarks, notes } = followLoad(question(2.5, { spots }));
    expect(remarks).toEqual([]);
    expect(notes.join()).toMatch(/faster than loads here do/);
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

describe('a probe that stands in a load', () => {
  /** A reading every ten minutes from `from` to `to` minutes after it came in. */
  const heard = (to: number, tempC: (minute: number) => number, from = 10) =>
    Array.from({ length: (to - from) / 10 + 1 }, (_, index) => ({
      ...{ t: at + (from + 10 * index) * minuteMs, where: 'core' as const, source: 'stick', stays: true },
      tempC: tempC(from + 10 * index),
    }));
  const slow = (minute: number): number => slowLoadC(minute / 60);

  it('moves the hour as typed readings do, and is trusted while it follows the load', () => {
    const {
      heard: count,
      remarks,
      asideNow,
      inoculateAt,
    } = followLoad(question(4, { spots: heard(240, slow) }));
    expect(count).toBe(24);
    expect(asideNow).toEqual([]);
    expect(remarks.join()).not.toMatch(/probe/);
    const typed = [2, 4].map((hours) => ({
      t: at + hours * hourMs,
      where: 'core' as const,
      tempC: slowLoadC(hours),
    }));
    const byHand = followLoad(question(4, { spots: typed })).inoculateAt!;
    expect(Math.abs(inoculateAt!.likely - byHand.likely)).toBeLessThan(hourMs);
    expect(inoculateAt!.latest - inoculateAt!.earliest).toBeLessThan(byHand.latest - byHand.earliest);
  });
  it('warms up when it is put in late, and no word of that is left afterwards', () => {
    const warming = (minute: number): number =>
      minute < 40 ? 23 : Math.min(slow(minute), 23 + 3.5 * (minute - 30));
    const early = followLoad(question(0.75, { spots: heard(40, warming) }));
    expect(early.settlingNow).toEqual(['stick']);
    expect(early.asideNow).toEqual([]);
    expect(early.remarks).toEqual([]);
    const later = followLoad(question(2, { spots: heard(120, warming) }));
    expect(later.asideNow).toEqual([]);
    expect(later.heard).toBeGreaterThan(4);
    expect(later.remarks.join()).not.toMatch(/probe/i);
  });
  it('that warms up as the load comes in counts from when it has come to rest, and is no probe in a wrong place', () => {
    // Of first order with 2.5 min, as thick ones are; a minute apart.
    const warmingC = (minute: number): number => slow(minute) + (23 - slow(0)) * Math.exp(-minute / 2.5);
    const each = (minutes: number) =>
      Array.from({ length: minutes }, (_, index) => ({
        ...{ t: at + (index + 1) * minuteMs, where: 'core' as const, source: 'stick', stays: true },
        ...{ tempC: warmingC(index + 1), roseKPerMin: warmingC(index + 1) - warmingC(index) },
      }));
    const expected = followLoad(question(0.1)).coreC;
    for (const minutes of [1, 3, 6, 8]) {
      const young = followLoad(question(minutes / 60, { spots: each(minutes).slice(-1) }));
      expect(young).toMatchObject({ settlingNow: ['stick'], asideNow: [], remarks: [], heard: 0 });
      expect(Math.abs(young.coreC.likely - expected.likely)).toBeLessThan(0.5);
    }
    const settled = followLoad(question(0.4, { spots: each(24).slice(-1) }));
    expect(settled).toMatchObject({ settlingNow: [], asideNow: [], heard: 1 });
  });
  it('that falls out is told by its fall, and what it reads afterwards counts for nothing', () => {
    // A probe in air follows it within minutes; late, when its way down crosses what the load may be.
    const outC = (minute: number): number =>
      minute < 360 ? slow(minute) : 23 + (slow(360) - 23) * Math.exp(-(minute - 355) / 12);
    const fallen = followLoad(question(7, { spots: heard(420, outC) }));
    const until = followLoad(question(7, { spots: heard(350, slow) }));
    expect(fallen.heard).toBe(until.heard);
    expect(fallen.inoculateAt).toEqual(until.inoculateAt);
    expect(fallen.asideNow).toEqual(['stick']);
    const first = followLoad(question(6, { spots: heard(360, outC) }));
    expect(first.remarks[0]).toMatch(
      /^It fell by \d+ K in 10 min, faster than a core of this load can: the probe has come out of it\.$/,
    );
    // Put back, it counts again.
    const back = (minute: number): number => (minute < 420 ? outC(minute) : slow(minute));
    const again = followLoad(question(8, { spots: heard(480, back) }));
    expect(again.asideNow).toEqual([]);
    expect(again.heard).toBeGreaterThan(fallen.heard + 4);
  });
  it('in another bag is told by what it reads, or by a curve that does not fall', () => {
    const cold = followLoad(question(2, { spots: heard(120, () => 31) }));
    expect(cold.heard).toBe(0);
    expect(cold.remarks[0]).toMatch(/another bag, or a wrong place/);
    const warm = followLoad(question(5, { spots: heard(300, (minute) => slow(Math.min(200, minute))) }));
    expect(warm.asideNow).toEqual(['stick']);
    expect(warm.remarks[0]).toMatch(/It stands at \d+ °C for \d+ min .* in another bag, or stands still/);
    expect(warm.heard).toBeLessThan(20);
  });
});
