import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { thermalOf } from '../../shared/heat/container.ts';
import { cartFilm } from '../../shared/heat/film.ts';
import { createLoad, largestCount } from '../../shared/heat/load.ts';
import { wetSurfaceShare } from '../../shared/heat/wet-surface.ts';

const runs = { seed: 20_261, numRuns: 40 };
const edge = fc.double({ min: 0.06, max: 0.3, noNaN: true });
const container = fc.record({
  shape: fc.oneof(
    fc.record({ form: fc.constant('cylinder' as const), diameterM: edge, heightM: edge }),
    fc.record({ form: fc.constant('brick' as const), widthM: edge, depthM: edge, heightM: edge }),
  ),
  massKg: fc.double({ min: 0.3, max: 12, noNaN: true }),
  moisture: fc.double({ min: 0.35, max: 0.75, noNaN: true }),
});
const count = fc.integer({ min: 1, max: 200 });
const startC = fc.double({ min: 5, max: 121, noNaN: true });
const filmFactor = fc.double({ min: 0.3, max: 2, noNaN: true });
const airs = fc.array(fc.double({ min: 5, max: 45, noNaN: true }), { minLength: 5, maxLength: 60 });
const dtS = fc.double({ min: 5, max: 900, noNaN: true });

describe('a load', () => {
  it('gives exactly the heat that it loses, whatever the air and the step', () => {
    fc.assert(
      fc.property(container, count, startC, filmFactor, airs, dtS, (one, n, hot, factor, air, step) => {
        const thermal = thermalOf(one);
        const load = createLoad({ thermal, count: n, startC: hot, filmFactor: factor });
        const heatJPerK = n * thermal.massKg * thermal.cpJPerKgK;
        expect(load.meanC()).toBeCloseTo(hot, 9);
        let givenJ = 0;
        for (const airC of air) givenJ += load.step(airC, step) * step;
        expect(Math.abs(heatJPerK * (hot - load.meanC()) - givenJ)).toBeLessThan(1e-9 * heatJPerK * 100);
      }),
      runs,
    );
  });

  it('never gets colder than the air it met nor warmer than it was, at its core, face and mean', () => {
    fc.assert(
      fc.property(container, startC, filmFactor, airs, dtS, (one, hot, factor, air, step) => {
        const load = createLoad({ thermal: thermalOf(one), count: 1, startC: hot, filmFactor: factor });
        let [low, high] = [hot, hot];
        for (const airC of air) {
          load.step(airC, step);
          low = Math.min(low, airC);
          high = Math.max(high, airC);
          for (const tempC of [load.coreC(), load.meanC(), load.surfaceC()]) {
            expect(tempC).toBeGreaterThanOrEqual(low - 1e-9);
            expect(tempC).toBeLessThanOrEqual(high + 1e-9);
          }
        }
      }),
      runs,
    );
  });

  it('cools sooner with a better film, and gives more at first; warmer air and a warmer start keep it warmer', () => {
    fc.assert(
      fc.property(container, filmFactor, dtS, fc.integer({ min: 5, max: 60 }), (one, factor, step, steps) => {
        const cooled = (spec: { filmFactor: number; startC?: number }, airC = 22) => {
          const load = createLoad({ thermal: thermalOf(one), count: 1, startC: 98, ...spec });
          const first = load.heatFor(airC, step);
          for (let i = 0; i < steps; i++) load.step(airC, step);
          return { first, core: load.coreC(), mean: load.meanC() };
        };
        const base = cooled({ filmFactor: factor });
        const better = cooled({ filmFactor: 1.3 * factor });
        expect(better.first).toBeGreaterThan(base.first);
        expect(better.core).toBeLessThanOrEqual(base.core + 0.15);
        expect(better.mean).toBeLessThan(base.mean + 1e-6);
        expect(cooled({ filmFactor: factor }, 30).core).toBeGreaterThanOrEqual(base.core - 0.05);
        expect(cooled({ filmFactor: factor, startC: 110 }).core).toBeGreaterThanOrEqual(base.core - 1e-6);
      }),
      runs,
    );
  });

  it('heat asked for is heat that is given; a copy goes its own way', () => {
    fc.assert(
      fc.property(container, startC, filmFactor, dtS, (one, hot, factor, step) => {
        const load = createLoad({ thermal: thermalOf(one), count: 7, startC: hot, filmFactor: factor });
        load.step(25, 120);
        const copy = load.clone();
        const asked = load.heatFor(31, step);
        const given = load.step(31, step);
        expect(Math.abs(given - asked)).toBeLessThan(1e-6 * (1 + Math.abs(given)));
        expect(copy.heatFor(31, step)).toBeCloseTo(asked, 9);
        expect(load.radiantShare(31)).toBeGreaterThan(0.2);
        expect(load.radiantShare(31)).toBeLessThan(0.8);
        expect(load.step(31, 0)).toBe(0);
        expect(load.step(31, Number.NaN)).toBe(0);
      }),
      runs,
    );
  });

  it('steps of any length tell nearly the same', () => {
    const load = (step: number) => {
      const one = {
        shape: { form: 'brick', widthM: 0.1, depthM: 0.14, heightM: 0.2 },
        massKg: 2,
        moisture: 0.6,
      } as const;
      const hot = createLoad({ thermal: thermalOf(one), count: 1, startC: 98, filmFactor: cartFilm.factor });
      for (let s = 0; s < 4 * 3600; s += step) hot.step(24, step);
      return [hot.coreC(), hot.meanC()] as const;
    };
    const [core, mean] = load(10);
    for (const step of [60, 300, 900]) {
      expect(Math.abs(load(step)[0] - core)).toBeLessThan(0.15);
      expect(Math.abs(load(step)[1] - mean)).toBeLessThan(0.15);
    }
  });

  it('refuses what cannot be, and names it', () => {
    const one = {
      shape: { form: 'cylinder', diameterM: 0.14, heightM: 0.24 },
      massKg: 2.3,
      moisture: 0.5,
    } as const;
    const thermal = thermalOf(one);
    expect(() => createLoad({ thermal, count: 0, startC: 98 })).toThrow(/number of containers is 0/);
    expect(() => createLoad({ thermal, count: 2000, startC: 98 })).toThrow(
      `it must lie in 1 to ${largestCount}`,
    );
    expect(() => createLoad({ thermal, count: Number.NaN, startC: 98 })).toThrow(/NaN/);
    expect(() => createLoad({ thermal, count: 1, startC: 400 })).toThrow(/start temperature is 400 degC/);
    expect(() => createLoad({ thermal, count: 1, startC: 98, filmFactor: 0 })).toThrow(
      /film coefficient is 0/,
    );
    expect(() => createLoad({ thermal, count: 1, startC: 98, heatFactor: 9 })).toThrow(/heat capacity is 9/);
    expect(() => createLoad({ thermal, count: 1, startC: 98, conductionFactor: 9 })).toThrow(
      /conductivity is 9/,
    );
  });

  it('what conducts better cools its core sooner, and gives its heat away no later', () => {
    fc.assert(
      fc.property(
        container,
        filmFactor,
        fc.double({ min: 1.15, max: 2, noNaN: true }),
        (one, film, better) => {
          const thermal = thermalOf(one);
          const spec = { thermal, count: 1, startC: 96, filmFactor: film };
          const [plain, good] = [createLoad(spec), createLoad({ ...spec, conductionFactor: better })];
          const given = [0, 0];
          for (let minute = 0; minute < 180; minute++) {
            given[0]! += plain.step(22, 60);
            given[1]! += good.step(22, 60);
          }
          expect(good.coreC()).toBeLessThanOrEqual(plain.coreC() + 0.05);
          expect(given[1]!).toBeGreaterThan(0.99 * given[0]!);
        },
      ),
      { numRuns: 40 },
    );
  });

  it('water on wet surfaces could carry off a part of the heat, less of a large container', () => {
    const of = (massKg: number, edgeM: number, hotC = 98) =>
      wetSurfaceShare(
        thermalOf({
          shape: { form: 'brick', widthM: edgeM, depthM: edgeM, heightM: edgeM },
          massKg,
          moisture: 0.6,
        }),
        hotC,
        22,
      );
    // By hand: 6 x 0.126^2 m2 x 0.2 mm = 19 g, 45 kJ, of 2 kg x 2846 J/kgK x 76 K = 433 kJ.
    expect(of(2, 0.126)).toBeCloseTo(0.105, 2);
    expect(of(16, 0.252)).toBeLessThan(of(2, 0.126));
    expect(of(2, 0.126, 22.2)).toBe(1);
    expect(of(2, 0.126, 22.01)).toBe(1);
    expect(() => of(2, 0.126, 20)).toThrow(/load over air is -2 K/);
  });
});
