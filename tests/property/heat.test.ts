import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { coolingOf, thermalOf } from '../../shared/heat/container.ts';
import { meanCore, stepCore } from '../../shared/heat/core.ts';
import { type CoreState, evenCore, stepCoreChain } from '../../shared/heat/core-chain.ts';
import { oneTerm, seriesTerms, transient } from '../../shared/heat/one-term.ts';

const runs = { seed: 20_260, numRuns: 60 };
const edge = fc.double({ min: 0.04, max: 0.4, noNaN: true });
const shape = fc.oneof(
  fc.record({ form: fc.constant('cylinder' as const), diameterM: edge, heightM: edge }),
  fc.record({ form: fc.constant('brick' as const), widthM: edge, depthM: edge, heightM: edge }),
);
const container = fc.record({
  shape,
  massKg: fc.double({ min: 0.1, max: 20, noNaN: true }),
  moisture: fc.double({ min: 0.3, max: 0.8, noNaN: true }),
});
const form = fc.constantFrom('slab' as const, 'cylinder' as const, 'sphere' as const);
const biot = fc.double({ min: Math.log(1e-4), max: Math.log(1e4), noNaN: true }).map(Math.exp);
const tempC = fc.double({ min: -20, max: 60, noNaN: true });
const state = fc.record({ outerC: tempC, innerC: tempC, coreC: tempC });
const dtS = fc.double({ min: 0, max: 3e5, noNaN: true });
const values = ({ outerC, innerC, coreC }: CoreState): number[] => [outerC, innerC, coreC];

describe('one-term roots', () => {
  it('grow with the Biot number, in order, within their bounds', () => {
    fc.assert(
      fc.property(form, biot, (shapeForm, bi) => {
        const terms = seriesTerms(shapeForm, bi, 6);
        terms.slice(1).forEach((term, index) => {
          expect(term.zeta).toBeGreaterThan(terms[index]!.zeta);
        });
        const { zeta1, c1 } = oneTerm(shapeForm, bi);
        expect(oneTerm(shapeForm, bi * 1.5).zeta1).toBeGreaterThan(zeta1);
        expect(zeta1).toBeLessThanOrEqual(
          { slab: Math.PI / 2, cylinder: 2.404826, sphere: Math.PI }[shapeForm],
        );
        expect(c1).toBeGreaterThanOrEqual(1);
        expect(c1).toBeLessThanOrEqual({ slab: 4 / Math.PI, cylinder: 1.60198, sphere: 2 }[shapeForm] + 1e-9);
      }),
      runs,
    );
  });
  it('a body cools: surface before mean before centre, and never back', () => {
    fc.assert(
      fc.property(form, biot, fc.double({ min: 0.02, max: 3, noNaN: true }), (shapeForm, bi, fourier) => {
        const { surface, mean, centre } = transient(shapeForm, bi, 25);
        expect(surface(fourier)).toBeLessThanOrEqual(mean(fourier) + 1e-9);
        expect(mean(fourier)).toBeLessThanOrEqual(centre(fourier) + 1e-9);
        expect(centre(fourier * 1.1)).toBeLessThanOrEqual(centre(fourier) + 1e-9);
        expect(transient(shapeForm, bi, 25).centre(0)).toBe(1);
      }),
      runs,
    );
  });
  it('Biot zero and beyond are refused with the range', () => {
    for (const bad of [0, -1, 1e6, Number.NaN])
      expect(() => oneTerm('slab', bad)).toThrow(/Biot number is .* must lie in/);
  });
});

describe('containers', () => {
  it('every shape gives lags that are finite, positive and apart', () => {
    fc.assert(
      fc.property(container, (any) => {
        const { tauS, skinTauS, lagS, slowestTauS, hWPerM2K } = thermalOf(any);
        expect(tauS).toBeGreaterThan(60);
        expect(tauS).toBeLessThan(10 * 86_400);
        expect(skinTauS).toBeGreaterThan(0);
        expect(skinTauS / tauS).toBeLessThan(0.6);
        expect(lagS).toBeCloseTo(tauS + 2 * skinTauS, 6);
        expect(tauS / slowestTauS).toBeGreaterThan(0.9);
        expect(tauS / slowestTauS).toBeLessThan(1.2);
        expect(hWPerM2K).toBeGreaterThan(7);
      }),
      runs,
    );
  });
  it('the core model keeps within 3.5 % of the series for any shape at any time', () => {
    fc.assert(
      fc.property(container, fc.double({ min: 0.05, max: 6, noNaN: true }), (any, taus) => {
        const thermal = thermalOf(any);
        const elapsedS = taus * thermal.tauS;
        const left =
          1 - stepCoreChain(evenCore(0), { airC: 1, heatingWPerKg: 0, dtS: elapsedS, thermal }).coreC;
        expect(Math.abs(left - coolingOf(thermal, 40).centre(elapsedS))).toBeLessThan(0.035);
      }),
      { ...runs, numRuns: 150 },
    );
  });
  it('rates of the slowest terms add up over the directions, and edges may change places', () => {
    fc.assert(
      fc.property(edge, edge, edge, (a, b, c) => {
        const of = (widthM: number, depthM: number) =>
          thermalOf(
            { shape: { form: 'brick', widthM, depthM, heightM: c }, massKg: 2, moisture: 0.5 },
            { hWPerM2K: 8 },
          );
        const thermal = of(a, b);
        const perS = thermal.axes.reduce(
          (sum, { form: axisForm, biot: bi, lengthM }) =>
            sum + (oneTerm(axisForm, bi).zeta1 / lengthM) ** 2 * thermal.alphaM2PerS,
          0,
        );
        expect(1 / thermal.slowestTauS / perS).toBeCloseTo(1, 9);
        expect(of(b, a).lagS / thermal.lagS).toBeCloseTo(1, 9);
      }),
      runs,
    );
  });
  it('a long bar cools as its cross-section', () => {
    const long = thermalOf(
      { shape: { form: 'cylinder', diameterM: 0.05, heightM: 1.9 }, massKg: 2.5, moisture: 0.5 },
      { hWPerM2K: 8 },
    );
    const radial = long.axes[0]!;
    const cooling = coolingOf(long);
    const alone = transient(radial.form, radial.biot, 40);
    for (const fourier of [0.2, 0.5, 1])
      expect(cooling.centre(fourier / long.fourierPerS)).toBeCloseTo(alone.centre(fourier), 6);
  });
  it('refuses what cannot be, with the range', () => {
    const good = {
      shape: { form: 'cylinder', diameterM: 0.1, heightM: 0.2 },
      massKg: 1,
      moisture: 0.5,
    } as const;
    expect(() => thermalOf({ ...good, massKg: -1 })).toThrow(/mass is -1 kg; it must lie in 0.01 to 100 kg/);
    expect(() => thermalOf({ ...good, moisture: 1.2 })).toThrow(/moisture is 1.2/);
    expect(() => thermalOf(good, { hWPerM2K: 0 })).toThrow(/film coefficient is 0/);
    expect(() => thermalOf({ ...good, shape: { ...good.shape, diameterM: 0 } })).toThrow(/diameter is 0 m/);
  });
  it('more water takes more heat to warm; Chen asks for more than Siebel', () => {
    const of = (moisture: number, specificHeat: 'siebel' | 'chen') =>
      thermalOf(
        { shape: { form: 'cylinder', diameterM: 0.1, heightM: 0.2 }, massKg: 1, moisture },
        { specificHeat },
      ).cpJPerKgK;
    expect(of(0.6, 'siebel')).toBeGreaterThan(of(0.5, 'siebel'));
    expect(of(0.6, 'chen') / of(0.6, 'siebel')).toBeCloseTo(1.135, 2);
  });
});

const thermal = thermalOf({
  shape: { form: 'cylinder', diameterM: 0.14, heightM: 0.24 },
  massKg: 2.3,
  moisture: 0.5,
});

describe('core step', () => {
  it('two steps are one step: spacing does not matter', () => {
    fc.assert(
      fc.property(
        state,
        tempC,
        dtS,
        dtS,
        fc.double({ min: 0, max: 1, noNaN: true }),
        (from, airC, a, b, q) => {
          const step = { airC, heatingWPerKg: q, thermal };
          const twice = stepCoreChain(stepCoreChain(from, { ...step, dtS: a }), { ...step, dtS: b });
          const once = stepCoreChain(from, { ...step, dtS: a + b });
          values(twice).forEach((value, index) => {
            expect(value).toBeCloseTo(values(once)[index]!, 7);
          });
          const lump = { airC, heatingWPerKg: q, ...thermal };
          const half = stepCore({ ...lump, coreC: from.coreC, dtS: a });
          expect(stepCore({ ...lump, coreC: half, dtS: b })).toBeCloseTo(
            stepCore({ ...lump, coreC: from.coreC, dtS: a + b }),
            7,
          );
        },
      ),
      { ...runs, numRuns: 200 },
    );
  });
  it('without heat it stays between what it was and the air; a week on it is the air', () => {
    fc.assert(
      fc.property(state, tempC, dtS, (from, airC, step) => {
        const low = Math.min(airC, ...values(from)) - 1e-9;
        const high = Math.max(airC, ...values(from)) + 1e-9;
        for (const value of values(stepCoreChain(from, { airC, heatingWPerKg: 0, dtS: step, thermal }))) {
          expect(value).toBeGreaterThanOrEqual(low);
          expect(value).toBeLessThanOrEqual(high);
        }
        const later = stepCoreChain(from, { airC, heatingWPerKg: 0, dtS: 7 * 86_400, thermal });
        expect(later.coreC).toBeCloseTo(airC, 6);
      }),
      { ...runs, numRuns: 200 },
    );
  });
  it('warmer air or more heat never gives a colder core; no time, or time backwards, changes nothing', () => {
    fc.assert(
      fc.property(state, tempC, dtS, (from, airC, step) => {
        const base = { airC, heatingWPerKg: 0.1, dtS: step, thermal };
        const { coreC } = stepCoreChain(from, base);
        expect(stepCoreChain(from, { ...base, airC: airC + 1 }).coreC).toBeGreaterThanOrEqual(coreC - 1e-9);
        expect(stepCoreChain(from, { ...base, heatingWPerKg: 0.3 }).coreC).toBeGreaterThanOrEqual(
          coreC - 1e-9,
        );
        expect(stepCoreChain(from, { ...base, dtS: -step })).toEqual(from);
      }),
      { ...runs, numRuns: 200 },
    );
  });
  it('mean over a step is the mean of many small ones', () => {
    const step = { coreC: 35, airC: 20, heatingWPerKg: 0.2, tauS: 9000, cpJPerKgK: 2500 };
    let sum = 0;
    for (let s = 5; s < 20_000; s += 10) sum += stepCore({ ...step, dtS: s });
    expect(meanCore({ ...step, dtS: 20_000 })).toBeCloseTo(sum / 2000, 5);
    expect(meanCore({ ...step, dtS: 0 })).toBe(35);
    expect(meanCore({ ...step, dtS: 1e-6 })).toBeCloseTo(35, 6);
  });
});
