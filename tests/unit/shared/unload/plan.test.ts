import { describe, expect, it } from 'vitest';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { planUnload } from '../../../../shared/unload/plan.ts';
import type { PlanInput } from '../../../../shared/unload/plan-input.ts';
import { type UnloadPlan, unloadPlan } from '../../../../shared/unloads.ts';
import { block, cohortsOf, planNow, planQuestion, surer } from '../../../tools/plan-question.ts';

const noAir: PlanInput['recent'] = {
  firstT: planNow,
  stepMs: 5 * minuteMs,
  airC: new Float64Array(0),
  outsideC: new Float64Array(0),
};
const light = planUnload(planQuestion({ count: 30 }));
const heavy = planUnload(planQuestion({ count: 400 }));

describe('a load that the room carries', () => {
  it('fits, as a valid plan that is the same each time', () => {
    expect(unloadPlan.parse(light)).toEqual(light);
    expect(planUnload(planQuestion({ count: 30 }))).toEqual(light);
    expect(light.advice).toMatchObject({ fits: true, split: null, betterAt: null, moveOut: [] });
    expect(light.advice.largest.count).toBeGreaterThanOrEqual(30);
    expect(light.cohorts).toHaveLength(12);
    expect(light.cohorts.every(({ over }) => !over)).toBe(true);
  });
  it('tells the room before, its curve and its peak, bands in order', () => {
    expect(Math.abs(light.beforeC - 22.3)).toBeLessThan(0.3);
    for (const { value } of [...light.air, ...light.core]) {
      expect(value.low).toBeLessThanOrEqual(value.likely);
      expect(value.likely).toBeLessThanOrEqual(value.high);
    }
    expect(light.air[0]!.t).toBe(planNow);
    // It begins at the measured air, and does not jump from it.
    expect(Math.abs(light.air[0]!.value.likely - 22.3)).toBeLessThan(0.25);
    expect(Math.abs(light.air[1]!.value.likely - light.air[0]!.value.likely)).toBeLessThan(0.4);
    expect(light.air[light.air.length - 1]!.t).toBe(planNow + 24 * hourMs);
    const top = Math.max(...heavy.air.map(({ value }) => value.likely));
    expect(heavy.peak.tempC.likely).toBe(top);
    expect(heavy.air.find(({ t }) => t === heavy.peak.at.likely)!.value.likely).toBe(top);
    // Chance lifts the highest moment of a course: the range reaches farther up than down.
    expect(heavy.peak.tempC.high - top).toBeGreaterThan(top - heavy.peak.tempC.low);
    expect(heavy.peak.at.likely).toBeLessThan(planNow + hourMs);
  });
  it('where the cooler is known to run or not, begins in that part of its swings', () => {
    const plain = planQuestion({ count: 30 });
    const swung = (byK: number, cooling: number | null) => {
      const airC = plain.recent.airC.slice();
      airC[airC.length - 1]! += byK;
      return planUnload({ ...plain, recent: { ...plain.recent, airC, cooling } });
    };
    const beginsC = (plan: UnloadPlan) => plan.air[0]!.value.likely;
    const off = swung(-0.8, 0);
    const on = swung(0.8, 1);
    expect(beginsC(on) - beginsC(off)).toBeGreaterThan(1);
    // Unknown, it may be either: the plan begins at the mean of the last quarter of an hour.
    expect(Math.abs(beginsC(swung(0.8, null)) - beginsC(swung(-0.8, null)))).toBeLessThan(0.6);
    // A cooler that runs already meets the load sooner.
    const first = (plan: UnloadPlan) => plan.air[1]!.value.likely - plan.air[0]!.value.likely;
    expect(first(swung(0, 1))).toBeLessThan(first(swung(0, 0)) - 0.15);
    // Hours later both have forgotten it.
    expect(Math.abs(on.air[72]!.value.likely - off.air[72]!.value.likely)).toBeLessThan(0.15);
  });
  it('has bands without teeth: their edges bend no more than the middle of the curve does', () => {
    const bends = (key: 'low' | 'likely' | 'high') => {
      // The first six hours, every five minutes, past the steep beginning.
      const edge = light.air.slice(12, 72).map(({ value }) => value[key]);
      return edge.slice(2).reduce((sum, to, at) => sum + Math.abs(to - 2 * edge[at + 1]! + edge[at]!), 0);
    };
    // Order statistics of 32 chance paths bent by 4.2 to 4.4 K; set after 0.04 K was seen.
    for (const key of ['low', 'likely', 'high'] as const) expect(bends(key)).toBeLessThan(0.2);
  });
  it('tells its own cooling: hot, dangerous to touch, ready after hours', () => {
    expect(light.core[0]!.value.likely).toBeGreaterThan(90);
    expect(light.surface).toMatchObject({ cautionC: 60 });
    expect(light.surface.startC).toBeGreaterThan(90);
    expect(light.surface.safeAt!).toBeGreaterThan(planNow + 20 * minuteMs);
    expect(light.surface.safeAt!).toBeLessThan(light.inoculateAt!.likely);
    const at = light.core.find(({ value }) => value.likely <= 27)!.t;
    expect(Math.abs(light.inoculateAt!.likely - at)).toBeLessThan(30 * minuteMs);
    expect(light.inoculateAt!.latest - light.inoculateAt!.earliest).toBeGreaterThan(hourMs);
  });
  it('says what it took for granted', () => {
    const text = light.assumed.join('\n');
    for (const part of [
      'zero gauge',
      'Water on wet surfaces',
      '2 kg',
      'Shelves',
      'equivalent hours',
      'doors',
    ])
      expect(text).toContain(part);
    for (const sentence of light.assumed) expect(sentence).toMatch(/^[A-Z0-9].*\.$/);
  });
  it('says beside the answer that an alarm speaks against a cooler that works as it did', () => {
    expect(light.doubts).toEqual([]);
    const alarms = ['Warm room too warm: 29.8 °C, limit 28'];
    const { doubts, assumed, peak } = planUnload({ ...planQuestion({ count: 30 }), alarms });
    expect(doubts).toEqual([
      expect.stringMatching(
        /^An alarm stands: Warm room too warm: 29\.8 °C, limit 28\. .*See to it first\.$/,
      ),
    ]);
    expect(assumed.join()).toContain('The cooler works as it did, although an alarm speaks against it');
    expect(peak).toEqual(light.peak);
  });
});

describe('a load that is too much', () => {
  const { advice } = heavy;
  it('does not fit: some cohort is over, and the largest load is smaller', () => {
    expect(advice.fits).toBe(false);
    expect(heavy.cohorts[0]!.over).toBe(true);
    expect(heavy.cohorts[0]!.after.high).toBeGreaterThan(1);
    expect(advice.largest.count).toBeGreaterThan(0);
    expect(advice.largest.count).toBeLessThan(400);
    expect(advice.largest.limitedBy).toMatch(/^B\d+ on R\d-\d, which would get/);
  });
  it('the largest load fits when it is asked for, and half as much again does not', () => {
    const { count } = advice.largest;
    expect(planUnload(planQuestion({ count })).advice.fits).toBe(true);
    expect(planUnload(planQuestion({ count: Math.ceil(1.5 * count) })).advice.fits).toBe(false);
  });
  it('the answer does not hang on how much was asked for', () => {
    const { count } = advice.largest;
    for (const asked of [30, 250, 900]) {
      const { largest } = planUnload(planQuestion({ count: asked })).advice;
      expect(Math.abs(largest.count - count) / count, `asked for ${asked}`).toBeLessThan(0.06);
    }
  });
  it('its parts are the whole, no larger than the largest, one after another within a day', () => {
    const split = advice.split!;
    expect(split.length).toBeGreaterThan(1);
    expect(split.reduce((sum, { count }) => sum + count, 0)).toBe(400);
    expect(split[0]!.at).toBe(planNow);
    split.forEach(({ count, at }, index) => {
      expect(count).toBeLessThanOrEqual(advice.largest.count);
      if (index > 0) expect(at - split[index - 1]!.at).toBeGreaterThanOrEqual(hourMs);
      expect(at - planNow).toBeLessThanOrEqual(24 * hourMs);
    });
  });
  it('racks to move out are those of cohorts over what they stand; without them it fits', () => {
    const hotShelf = cohortsOf(12).map((one, index) => ({ ...one, shelfAboveRoomK: index === 4 ? 6 : -1 }));
    const question = planQuestion({ count: 230, cohorts: hotShelf });
    const { advice: with4 } = planUnload(question);
    expect(with4.fits).toBe(false);
    expect(with4.moveOut).toEqual(['R1']);
    const cohorts = hotShelf.filter(({ rack }) => rack !== 'R1');
    expect(planUnload({ ...question, cohorts }).advice.fits).toBe(true);
  });
});

describe('what may be done', () => {
  const rise = (change: Parameters<typeof planQuestion>[0]) =>
    planUnload(planQuestion({ count: 250, ...change }));
  const plain = rise({});
  it('a fan has the load ready sooner and the room warmer', () => {
    const fan = rise({ options: { fan: true, extraCoolingW: 0 } });
    expect(fan.inoculateAt!.likely).toBeLessThan(plain.inoculateAt!.likely);
    expect(fan.peak.tempC.likely).toBeGreaterThan(plain.peak.tempC.likely);
    expect(fan.assumed.join()).toContain('A fan blows');
  });
  it('cooling brought in keeps the room cooler and allows more', () => {
    const cooled = rise({ options: { fan: false, extraCoolingW: 3000 } });
    expect(cooled.peak.tempC.likely).toBeLessThan(plain.peak.tempC.likely - 1);
    expect(cooled.advice.largest.count).toBeGreaterThan(plain.advice.largest.count);
    expect(cooled.assumed.join()).toContain('3.0 kW of cooling');
  });
  it('a load that stands there already leaves less room for the next', () => {
    const load = { container: 'block', count: 150, startC: 95 };
    const second = rise({ earlier: [{ load, container: block, at: planNow - 40 * minuteMs }] });
    expect(second.peak.tempC.likely).toBeGreaterThan(plain.peak.tempC.likely + 1);
    expect(second.advice.largest.count).toBeLessThan(plain.advice.largest.count);
    // Cooled down it counts for nothing: the plan is the one without it, whether it was carried off or not.
    const cold = rise({ earlier: [{ load, container: block, at: planNow - 45 * hourMs }] });
    expect({ ...cold, assumed: [] }).toEqual({ ...plain, assumed: [] });
    expect(cold.assumed.join()).toContain('take none up');
  });
  // A cooler that already works on the first load answers the second a little sooner, by hundredths of a kelvin.
  it('one that is nearly cold never flatters the plan: no peak below the one without it', () => {
    const load = { container: 'block', count: 300, startC: 95 };
    for (const hours of [6, 12, 20]) {
      const second = rise({ earlier: [{ load, container: block, at: planNow - hours * hourMs }] });
      expect(second.peak.tempC.likely, `${hours} h`).toBeGreaterThan(plain.peak.tempC.likely - 0.05);
      expect(second.advice.largest.count / plain.advice.largest.count, `${hours} h`).toBeLessThanOrEqual(
        1.01,
      );
    }
  });
  describe('another load that is scheduled', () => {
    const load = { container: 'block', count: 150, startC: 95 };
    const other = (hours: number, more: object = {}) => ({
      scheduled: [{ load, container: block, at: planNow + hours * hourMs, fan: false, ...more }],
    });
    const at = planNow + 4 * hourMs;
    const later = rise({ at });

    it('before this one it leaves less room for it', () => {
      const second = rise({ at, ...other(3) });
      expect(second.peak.tempC.likely).toBeGreaterThan(later.peak.tempC.likely + 1);
      expect(second.beforeC).toBeGreaterThan(later.beforeC + 1);
      expect(second.advice.largest.count).toBeLessThan(later.advice.largest.count);
    });

    it('at the same hour both are as one load of all', () => {
      const both = rise({ at, ...other(4, { load: { ...load, startC: null } }) });
      const one = rise({ at, count: 400 });
      const riseOf = ({ peak, beforeC }: typeof plain) => peak.tempC.likely - beforeC;
      expect(Math.abs(riseOf(both) / riseOf(one) - 1)).toBeLessThan(0.03);
    });

    it('while this one cools it warms the room from its own hour on', () => {
      const second = rise(other(5));
      const airAt = ({ air }: typeof plain, hours: number) =>
        air.find(({ t }) => t >= planNow + hours * hourMs)!.value.likely;
      expect(airAt(second, 4.9)).toBeCloseTo(airAt(plain, 4.9), 6);
      expect(airAt(second, 6)).toBeGreaterThan(airAt(plain, 6) + 1);
      expect(second.advice.largest.count).toBeLessThanOrEqual(plain.advice.largest.count);
    });

    it('is told, with its hour', () => {
      const words = (hours: number) =>
        rise({ count: 1, cohorts: [], ...other(hours) }).assumed.find((one) => one.includes('scheduled'));
      expect(words(5)).toBe(
        'Another load is scheduled for this room, and counted as if it came: 150 × block at 14:10.',
      );
      expect(words(20)).toContain('150 × block tomorrow at 05:10.');
      expect(words(-0.5)).toContain('150 × block at once, being late.');
      // Long after this one is over it changes nothing, and is not told.
      expect(words(25)).toBeUndefined();
    });

    it('with a fan it gives its heat sooner', () => {
      const still = rise({ at, ...other(3) });
      expect(rise({ at, ...other(3, { fan: true }) }).beforeC).toBeGreaterThan(still.beforeC + 0.2);
    });
  });
  it('a better hour is told where bags are only too warm now', () => {
    // A room that its cooler barely holds by day, with outside air that swings.
    const fit = surer(defaultRoom(20, 900, { outsideC: 20 }), 0.15);
    const swing = {
      ...fit.outside,
      hoursC: fit.outside.hoursC.map((_, hour) => 17 + 16 * Math.cos(((hour - 14) / 12) * Math.PI)),
    };
    const question = planQuestion({
      count: 1,
      fit: { ...fit, outside: swing },
      now: planNow + 4 * hourMs,
      at: planNow + 4 * hourMs,
    });
    const most = planUnload(question).advice.largest.count;
    const { advice } = planUnload({ ...question, load: { ...question.load, count: Math.ceil(1.15 * most) } });
    expect(advice.fits).toBe(false);
    expect(advice.betterAt).not.toBeNull();
    expect(advice.betterAt! % hourMs).toBeLessThanOrEqual(5 * minuteMs);
    const later = {
      ...question,
      load: { ...question.load, count: Math.ceil(1.15 * most) },
      at: advice.betterAt!,
    };
    expect(planUnload(later).advice.fits).toBe(true);
  });
  it('a limit of the room that is to be kept holds the load down; others are only told', () => {
    const kept = rise({ limits: [{ name: 'high limit', limitC: 26, keep: true }] });
    expect(kept.advice.fits).toBe(false);
    expect(kept.advice.moveOut).toBeNull();
    expect(kept.advice.largest.count).toBeLessThan(plain.advice.largest.count);
    expect(kept.advice.largest.limitedBy).toBe("the room's high limit of 26.0 °C");
    expect(kept.limits[0]!.minutes.likely).toBeGreaterThan(0);
    expect(rise({ limits: [{ name: 'high limit', limitC: 26 }] }).advice.largest).toEqual(
      plain.advice.largest,
    );
  });
  it('later today starts from the room of that hour', () => {
    const later = rise({ at: planNow + 5 * hourMs });
    expect(later.at).toBe(planNow + 5 * hourMs);
    expect(later.air[0]!.t).toBe(later.at);
    expect(later.inoculateAt!.earliest).toBeGreaterThan(later.at);
  });
});

describe('input that is bad, or little', () => {
  it('masses, counts, shapes and times that cannot be are refused in words', () => {
    const asked = (change: Partial<PlanInput> & { count?: number }) => () => planUnload(planQuestion(change));
    expect(asked({ container: { ...block, massKg: 0 } })).toThrow(
      /mass is 0 kg; it must lie in 0.01 to 100 kg/,
    );
    expect(asked({ count: 2000 })).toThrow(/number of containers is 2000; it must lie in 1 to 1000/);
    expect(asked({ count: 0 })).toThrow(/number of containers is 0/);
    expect(asked({ at: planNow + 60 * hourMs })).toThrow(/hours until the load comes is 60 h/);
    expect(asked({ at: planNow - hourMs })).toThrow(/hours until the load comes is -1 h/);
  });
  it('a load colder than the room warms nothing, and says so', () => {
    const cold = planUnload(planQuestion({ load: { container: 'block', count: 50, startC: 8 } }));
    expect(cold.advice.fits).toBe(true);
    expect(cold.peak.tempC.likely).toBeLessThan(light.peak.tempC.likely + 0.1);
    expect(cold.inoculateAt!.likely).toBe(planNow);
    expect(cold.surface.safeAt).toBe(planNow);
    expect(cold.assumed.join()).toContain('takes heat from it');
  });
  it('hotter than an open vessel allows is taken as boiling', () => {
    const hot = planUnload(planQuestion({ load: { container: 'block', count: 50, startC: 121 } }));
    expect(hot.core[0]!.value.high).toBeLessThanOrEqual(100);
    expect(hot.assumed.join()).toContain('121 °C was given as the start');
  });
  it('an inoculation temperature below the room is never met', () => {
    expect(planUnload(planQuestion({ inoculateBelowC: 15 })).inoculateAt).toBeNull();
  });
  it('a room without sensors, history or bags is planned with a wide band and says what it lacks', () => {
    const bare = planUnload(
      planQuestion({ fit: defaultRoom(20), recent: noAir, cohorts: [], limits: [], count: 150 }),
    );
    const known = planUnload(planQuestion({ cohorts: [], count: 150 }));
    expect(bare.advice.largest).toEqual({ count: 999, limitedBy: 'nothing up to 999 containers' });
    const width = ({ peak }: typeof bare) => peak.tempC.high - peak.tempC.low;
    expect(width(bare)).toBeGreaterThan(1.5 * width(known));
    const text = bare.assumed.join();
    for (const part of [
      'Nothing of this room has been learned',
      "No sensor tells this room's air",
      'Outside air is assumed',
    ])
      expect(text).toContain(part);
  });
  it('a room far from where its model would hold it is pointed out', () => {
    const { recent } = planQuestion();
    const warm = planUnload(
      planQuestion({ recent: { ...recent, airC: recent.airC.map((tempC) => tempC + 7) } }),
    );
    expect(warm.assumed.join()).toMatch(
      /The room is at 29\.\d °C now, and would be at 2\d\.\d °C in two hours/,
    );
    expect(light.assumed.join()).not.toContain('in two hours');
  });
  it('what the past of a room does not tell is said to be assumed', () => {
    const fit = { ...surer(defaultRoom(20, 3000), 0.35), notIdentified: ['coolingW' as const] };
    expect(planUnload(planQuestion({ fit })).assumed).toContain(
      "This room's past does not tell how much the cooler can do: that is assumed for a room of its size.",
    );
    expect(light.assumed.join()).not.toContain('does not tell');
  });
  it('more than any room could bear ends below the load itself: no run-away', () => {
    const tiny = planUnload(planQuestion({ fit: defaultRoom(2, 300), count: 1000, cohorts: cohortsOf(3) }));
    for (const { value } of tiny.air) {
      expect(value.high).toBeLessThanOrEqual(100);
      expect(value.low).toBeGreaterThan(0);
    }
    expect(tiny.peak.tempC.likely).toBeGreaterThan(45);
    expect(tiny.advice.fits).toBe(false);
  });
  it('bags already past what they stand are not blamed on a load that adds nothing', () => {
    const cohorts = cohortsOf(4).map((one) => ({ ...one, memoryHours: 9 }));
    const { advice, cohorts: told } = planUnload(planQuestion({ count: 5, cohorts }));
    expect(advice.fits).toBe(true);
    expect(told[0]!.before).toBeGreaterThan(2);
    expect(told[0]!.over).toBe(false);
  });
});
