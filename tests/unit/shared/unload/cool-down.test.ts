import { describe, expect, it } from 'vitest';
import { thermalOf } from '../../../../shared/heat/container.ts';
import { createLoad } from '../../../../shared/heat/load.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { followCoolDown } from '../../../../shared/unload/cool-down.ts';
import { firstLoadBelief, learnLoad, nextLoad } from '../../../../shared/unload/load-belief.ts';
import type { Spot } from '../../../../shared/unload/spots.ts';
import { startOf } from '../../../../shared/unload/start.ts';

const block = {
  shape: { form: 'brick', widthM: 0.1, depthM: 0.14, heightM: 0.2 },
  massKg: 2,
  moisture: 0.6,
} as const;
const thermal = thermalOf(block);
const from = Date.UTC(2026, 3, 6, 13);
const airC = (t: number): number => 22 + 6 * Math.exp(-(t - from) / (2 * hourMs));
const air = Array.from({ length: 400 }, (_, minute) => ({
  t: from + 5 * minute * minuteMs,
  tempC: airC(from + 5 * minute * minuteMs),
}));

interface Truth {
  film: number;
  heat: number;
  startC: number;
}

/** A load of which more is known than its record tells. */
function live({ film, heat, startC }: Truth) {
  const load = createLoad({ thermal, count: 1, startC, filmFactor: film, heatFactor: heat });
  const curve: { t: number; coreC: number; surfaceC: number }[] = [];
  for (let t = from; t < from + 30 * hourMs; t += minuteMs) {
    curve.push({ t, coreC: load.coreC(), surfaceC: load.surfaceC() });
    load.step(airC(t + minuteMs / 2), 60);
  }
  return {
    at: (hours: number) => curve[Math.round(hours * 60)]!,
    readyAt: (targetC: number) => curve.find(({ coreC }) => coreC <= targetC)!.t,
  };
}

const record = (hours: number, spots: Spot[] = []) => ({
  thermal,
  from,
  asOf: from + hours * hourMs,
  start: startOf(),
  belief: nextLoad(firstLoadBelief),
  air: air.filter(({ t }) => t <= from + hours * hourMs),
  spots,
});
const core = (truth: ReturnType<typeof live>, hours: number, offK = 0): Spot => ({
  t: from + hours * hourMs,
  tempC: truth.at(hours).coreC + offK,
  where: 'core',
  source: 'probe',
});
const width = ({ earliest, latest }: { earliest: number | null; latest: number | null }): number =>
  latest! - earliest!;

describe('a load followed without readings', () => {
  const cool = followCoolDown(record(0.5));
  const ready = cool.ready(27, airC);
  it('says an interval that holds slow and fast loads, and the same each time', () => {
    const of = (film: number) => live({ film, heat: 1, startC: 96 }).readyAt(27);
    expect(ready.earliest!).toBeGreaterThan(of(1.6));
    expect(ready.earliest!).toBeLessThan(of(0.6));
    expect(ready.latest!).toBeGreaterThan(of(0.6));
    expect(ready.latest!).toBeLessThan(of(0.25));
    expect(followCoolDown(record(0.5)).ready(27, airC)).toEqual(ready);
  });
  it('a colder target takes longer, a warmer room as well, and one that it has passed no time', () => {
    expect(cool.ready(25, airC).likely!).toBeGreaterThan(ready.likely!);
    expect(cool.ready(27, () => 26).likely!).toBeGreaterThan(ready.likely!);
    expect(cool.ready(101, airC)).toEqual({
      earliest: from + 0.5 * hourMs,
      likely: from + 0.5 * hourMs,
      latest: from + 0.5 * hourMs,
    });
  });
  it('a target below the room is never met, and said to be out of sight', () => {
    expect(cool.ready(20, () => 24)).toEqual({ earliest: null, likely: null, latest: null });
  });
  it('its course goes on from what is now, falls, and keeps its band in order', () => {
    const course = cool.course(airC, 12);
    expect(course).toHaveLength(145);
    expect(course[0]!.coreC).toEqual(cool.coreC);
    course.forEach(({ coreC }, index) => {
      expect(coreC.low).toBeLessThanOrEqual(coreC.likely);
      expect(coreC.likely).toBeLessThanOrEqual(coreC.high);
      if (index > 0) expect(coreC.likely).toBeLessThanOrEqual(course[index - 1]!.coreC.likely + 1e-9);
    });
  });
});

describe('a load that is measured', () => {
  it.each([
    { film: 0.35, heat: 1.05, startC: 98 },
    { film: 0.6, heat: 0.9, startC: 90 },
    { film: 1.1, heat: 1.1, startC: 96 },
  ])('is found: film $film, heat $heat, start $startC', (truth) => {
    const load = live(truth);
    const before = followCoolDown(record(2)).ready(27, airC);
    const spots = [0.1, 0.7, 1.3, 2].map((hours, index) => core(load, hours, [0.4, -0.5, 0.2, -0.3][index]));
    const cool = followCoolDown(record(2, spots));
    const after = cool.ready(27, airC);
    expect(cool.heard).toBe(4);
    expect(Math.abs(cool.coreC.likely - load.at(2).coreC)).toBeLessThan(1.5);
    const takes = load.readyAt(27) - from;
    expect(Math.abs(after.likely! - load.readyAt(27)) / takes).toBeLessThan(0.12);
    expect(width(after)).toBeLessThan(0.75 * width(before));
  });

  it('by infrared at its surface moves as well, less surely than by its core', () => {
    const load = live({ film: 0.35, heat: 1, startC: 96 });
    const before = followCoolDown(record(2)).ready(27, airC);
    const seen = (where: 'core' | 'surface') =>
      followCoolDown(
        record(
          2,
          [0.5, 1.2, 2].map((hours) => ({
            t: from + hours * hourMs,
            tempC: where === 'core' ? load.at(hours).coreC : load.at(hours).surfaceC,
            where,
            source: 'spot',
          })),
        ),
      ).ready(27, airC);
    expect(seen('surface').likely!).toBeGreaterThan(before.likely!);
    expect(width(seen('surface'))).toBeLessThan(width(before));
  });

  it('often is not measured surely: readings each minute tell little more than each quarter of an hour', () => {
    const load = live({ film: 0.6, heat: 1, startC: 96 });
    const often = Array.from({ length: 60 }, (_, minute) => core(load, 1 + minute / 60));
    const seldom = often.filter((_, index) => index % 15 === 0);
    const [a, b] = [often, seldom].map((spots) => width(followCoolDown(record(2, spots)).ready(27, airC)));
    expect(a! / b!).toBeGreaterThan(0.6);
  });

  it('a probe that has fallen out is told by the air that it reads, and the load is as it was before', () => {
    const load = live({ film: 0.6, heat: 1, startC: 96 });
    const good = [0.3, 0.8].map((hours) => core(load, hours));
    const fallen = [1.2, 1.5, 1.8].map(
      (hours): Spot => ({ ...core(load, hours), tempC: airC(from + hours * hourMs) + 0.5 }),
    );
    const cool = followCoolDown(record(2, [...fallen, ...good]));
    expect(cool.heard).toBe(2);
    expect(cool.aside.map(({ spot }) => spot)).toEqual(fallen);
    for (const { why } of cool.aside) expect(why).toMatch(/come out of the load/);
    expect(cool.ready(27, airC).likely).toBe(followCoolDown(record(2, good)).ready(27, airC).likely);
  });

  it('a probe in another bag is told by what no load could be', () => {
    const load = live({ film: 0.6, heat: 1, startC: 96 });
    const wrong: Spot = { ...core(load, 1), tempC: 44 };
    const { aside, heard } = followCoolDown(record(2, [core(load, 0.6), wrong]));
    expect(heard).toBe(1);
    expect(aside).toHaveLength(1);
    expect(aside[0]!.why).toMatch(
      /reads 44 °C where a core of this load can only be between \d+ °C and \d+ °C/,
    );
  });

  it('one odd reading among good ones breaks nothing', () => {
    const load = live({ film: 0.6, heat: 1, startC: 96 });
    const good = [0.2, 0.7, 1.2, 1.7].map((hours) => core(load, hours));
    const odd: Spot = { ...core(load, 2), tempC: load.at(2).coreC - 14, source: 'other' };
    const sober = followCoolDown(record(2, good)).ready(27, airC).likely!;
    const tried = followCoolDown(record(2, [...good, odd])).ready(27, airC).likely!;
    expect(Math.abs(tried - sober)).toBeLessThan(0.1 * (sober - from));
  });
});

describe('what loads teach', () => {
  it('carts that shade more are believed to after some loads, and the next one is foreseen better', () => {
    let belief = firstLoadBelief;
    const truths = [0.36, 0.4, 0.38].map((film) => live({ film, heat: 1.06, startC: 96 }));
    for (const load of truths) {
      const spots = [0.5, 1.5, 3, 5].map((hours) => core(load, hours));
      belief = learnLoad(belief, followCoolDown({ ...record(5, spots), belief: nextLoad(belief) }));
    }
    expect(belief.unloads).toBe(3);
    const load = live({ film: 0.39, heat: 1.06, startC: 96 });
    const off = (what: typeof belief) =>
      Math.abs(
        followCoolDown({ ...record(0), belief: nextLoad(what) }).ready(27, airC).likely! - load.readyAt(27),
      ) /
      (load.readyAt(27) - from);
    expect(off(belief)).toBeLessThan(0.1);
    expect(off(belief)).toBeLessThan(off(firstLoadBelief));
    expect(belief.lnFilm.sd).toBeLessThan(firstLoadBelief.lnFilm.sd);
  });
  it('a load without readings teaches nothing', () => {
    const { lnFilm, lnHeat } = learnLoad(firstLoadBelief, nextLoad(firstLoadBelief));
    expect(lnFilm).toEqual(firstLoadBelief.lnFilm);
    expect(lnHeat).toEqual(firstLoadBelief.lnHeat);
  });
});

describe('bad input', () => {
  it('a load without air, or from an impossible start, is refused in words', () => {
    expect(() => followCoolDown({ ...record(1), air: [] })).toThrow(/without one temperature of its air/);
    expect(() => followCoolDown({ ...record(1), start: { tempC: 300, sdK: 1 } })).toThrow(
      /start temperature is 300/,
    );
  });
  it('readings before the start, after now or without a number are not heard', () => {
    const load = live({ film: 0.6, heat: 1, startC: 96 });
    const spot = core(load, 1);
    const spots = [
      { ...spot, t: from - 1 },
      { ...spot, t: from + 3 * hourMs },
      { ...spot, tempC: Number.NaN },
    ];
    const cool = followCoolDown(record(2, spots));
    expect(cool.heard).toBe(0);
    expect(cool.aside).toEqual([]);
  });
  it('a load colder than the room warms up: it is ready at once', () => {
    const cool = followCoolDown({ ...record(1), start: { tempC: 18, sdK: 1 } });
    expect(cool.ready(27, airC).likely).toBe(from + hourMs);
    expect(cool.coreC.likely).toBeGreaterThan(17);
  });
});
