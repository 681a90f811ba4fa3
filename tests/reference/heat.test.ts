import { describe, expect, it } from 'vitest';
import { besselJ01 } from '../../shared/heat/bessel.ts';
import { decimalTimeAt, lethalRate } from '../../shared/heat/dose.ts';
import { type Form, oneTerm, seriesTerms, transient } from '../../shared/heat/one-term.ts';
import {
  conductivityLimitsWPerMK,
  diffusivityLimitsM2PerS,
  diffusivityM2PerS,
  freeConvectionWPerM2K,
  radiationWPerM2K,
  sensibleHeatW,
  specificHeatChen,
  specificHeatSiebel,
} from '../../shared/heat/properties.ts';
import { findRoot } from '../../shared/stats/root.ts';

/** Within a part in 10^8: zeta tan zeta is steep, so the last bits of a root show. */
const near =
  (wanted: number) =>
  (found: number): boolean =>
    Math.abs(found / wanted - 1) < 1e-8;

describe('Bessel functions', () => {
  // Abramowitz & Stegun, Handbook of Mathematical Functions, tables 9.1 and 9.5 (from memory).
  it.each([
    [1, 0.7651976866, 0.4400505857],
    [2, 0.2238907791, 0.5767248078],
    [5, -0.1775967713, -0.3275791376],
    [10, -0.2459357645, 0.0434727462],
  ])('J0 and J1 of %d', (x, j0, j1) => {
    expect(besselJ01(x).j0).toBeCloseTo(j0, 9);
    expect(besselJ01(x).j1).toBeCloseTo(j1, 9);
    expect(besselJ01(-x)).toEqual({ j0: besselJ01(x).j0, j1: -besselJ01(x).j1 });
  });
  it.each([2.404825557695773, 5.520078110286311, 8.653727912911013, 30.634606468431976])(
    'J0 is zero at %d',
    (x) => expect(Math.abs(besselJ01(x).j0)).toBeLessThan(1e-14),
  );
  it.each([3.831705970207512, 7.015586669815619, 10.173468135062722])('J1 is zero at %d', (x) =>
    expect(Math.abs(besselJ01(x).j1)).toBeLessThan(1e-14),
  );
});

describe('one-term constants', () => {
  // Incropera, Fundamentals of Heat and Mass Transfer, table of coefficients for one-dimensional transient
  // conduction (from memory); the equations give the same.
  const table: [Form, number, number, number][] = [
    ['slab', 0.01, 0.0998, 1.0017],
    ['slab', 0.1, 0.3111, 1.0161],
    ['slab', 1, 0.8603, 1.1191],
    ['slab', 10, 1.4289, 1.262],
    ['slab', 100, 1.5552, 1.2731],
    ['cylinder', 0.1, 0.4417, 1.0246],
    ['cylinder', 1, 1.2558, 1.2071],
    ['cylinder', 10, 2.1795, 1.5677],
    ['cylinder', 100, 2.3809, 1.6015],
    ['sphere', 0.1, 0.5423, 1.0298],
    ['sphere', 1, 1.5708, 1.2732],
    ['sphere', 10, 2.8363, 1.9249],
    ['sphere', 100, 3.1102, 1.999],
  ];
  it.each(table)('%s at Biot %d', (form, biot, zeta, c) => {
    const { zeta1, c1 } = oneTerm(form, biot);
    expect(Math.abs(zeta1 - zeta)).toBeLessThan(1.01e-4);
    expect(Math.abs(c1 - c)).toBeLessThan(1.01e-4);
  });

  it.each([1e-4, 1e-2, 1, 1e2, 1e4])('roots meet their equations at Biot %d', (biot) => {
    for (const { zeta } of seriesTerms('slab', biot, 8)) expect(zeta * Math.tan(zeta)).toSatisfy(near(biot));
    for (const { zeta } of seriesTerms('cylinder', biot, 8)) {
      const { j0, j1 } = besselJ01(zeta);
      expect((zeta * j1) / j0).toSatisfy(near(biot));
    }
    for (const { zeta } of seriesTerms('sphere', biot, 8))
      expect(1 - zeta / Math.tan(zeta)).toSatisfy(near(biot));
  });

  it('small Biot is the lumped body, zeta^2 = n Bi', () => {
    // n = 1, 2, 3: surface over volume times length scale.
    for (const [form, n] of [
      ['slab', 1],
      ['cylinder', 2],
      ['sphere', 3],
    ] as const)
      expect(oneTerm(form, 1e-4).zeta1 ** 2 / (n * 1e-4)).toBeCloseTo(1, 4);
  });
});

describe('worked examples', () => {
  it('thermocouple junction in a hot gas: 5.2 s', () => {
    // Incropera, example on lumped capacitance; 5.16 s as recomputed in the FOSSEE Python companion to the book.
    const [h, k, c, rho, radius] = [400, 20, 400, 8500, 0.706e-3 / 2];
    const cooling = transient('sphere', (h * radius) / k, 10);
    const perS = k / (rho * c) / radius ** 2;
    const wanted = (199 - 200) / (25 - 200);
    const seconds = findRoot((t) => cooling.mean(perS * t) - wanted, 0.1, 60);
    expect(seconds).toBeCloseTo(5.165, 1);
  });

  it('steel pipe wall after 8 min: middle 42.9, surface 45.2 degC', () => {
    // Incropera, example on a pipeline wall taken as plane: h 500, k 63.9, L 40 mm, alpha 18.8e-6 (from memory).
    const wall = transient('slab', (500 * 0.04) / 63.9);
    const fourier = (18.8e-6 * 480) / 0.04 ** 2;
    expect(60 + (-20 - 60) * wall.centre(fourier)).toBeCloseTo(42.9, 0);
    expect(60 + (-20 - 60) * wall.surface(fourier)).toBeCloseTo(45.2, 0);
  });

  it('brass plate in an oven for 7 min: ten roots, and 279.764 degC at its face', () => {
    // Cengel & Ghajar, Heat and Mass Transfer, 6th ed., example 4-3, as the documentation of pychemengg's NonLumpedSlab
    // works it out with ten terms: k 110, rho 8530, c 380, h 120, 40 mm thick, 20 degC into 500.
    const [k, h, halfM] = [110, 120, 0.02];
    const biot = (h * halfM) / k;
    const fourier = ((k / (8530 * 380)) * 420) / halfM ** 2;
    expect(biot).toBeCloseTo(0.021818181818, 12);
    expect(fourier).toBeCloseTo(35.63275128, 8);
    const roots = [
      0.14717481, 3.1485222, 6.28665585, 9.42709237, 12.56810661, 15.70935213, 18.85071334, 21.99214066,
      25.13360932, 28.27510552,
    ];
    seriesTerms('slab', biot, 10).forEach(({ zeta }, index) => {
      expect(Math.abs(zeta - roots[index]!)).toBeLessThan(5.1e-9);
    });
    expect(500 - 480 * transient('slab', biot, 10).surface(fourier)).toBeCloseTo(279.76430920417, 9);
  });

  it('potato in boiling water: 70 degC in the middle after 1068 s', () => {
    // Same book, problem 4-68, answer as quoted in the source of pychemengg: radius 27.5 mm, k 0.6, alpha 0.14e-6,
    // h 1400, 8 degC into 97. The book works with one term, read straight between Bi 50 and 100 of its table.
    const biot = (1400 * 0.0275) / 0.6;
    const [low, high] = [oneTerm('sphere', 50), oneTerm('sphere', 100)];
    const read = (of: 'zeta1' | 'c1'): number => low[of] + ((biot - 50) / 50) * (high[of] - low[of]);
    const fourier = Math.log((read('c1') * 89) / 27) / read('zeta1') ** 2;
    expect(Math.round((fourier * 0.0275 ** 2) / 0.14e-6)).toBe(1068);
  });
});

describe('properties', () => {
  it.each([
    // Siebel 1892 in SI (from memory; the 837 and 4186.8 of it also in Onita & Ivan 2005, Agroaliment. Proc. Technol. 11).
    [0.5, 2512],
    [0.6, 2846],
    [0.7, 3181],
  ])('Siebel at water share %d: %d J/(kg K)', (moisture, cp) =>
    expect(Math.abs(specificHeatSiebel(moisture) - cp)).toBeLessThan(1),
  );
  it('Siebel ends at water', () => expect(Math.abs(specificHeatSiebel(1) - 4186)).toBeLessThan(1));
  it.each([
    // Chen 1985 (from memory), as in the ASHRAE Handbook of Refrigeration, thermal properties of foods.
    [0.6, 3230],
    [0.7, 3483],
  ])('Chen at water share %d: %d J/(kg K)', (moisture, cp) =>
    expect(Math.abs(specificHeatChen(moisture) - cp)).toBeLessThan(1),
  );

  it('diffusivity lies among published ones of moist foods', () => {
    // Engineering ToolBox, thermal diffusivity of foodstuffs: 1.05e-7 to 1.82e-7 m2/s over 14 to 92 % water.
    for (const moisture of [0.4, 0.5, 0.6, 0.7]) {
      expect(diffusivityM2PerS(moisture)).toBeGreaterThanOrEqual(diffusivityLimitsM2PerS.low);
      expect(diffusivityM2PerS(moisture)).toBeLessThan(1.82e-7);
    }
    expect(conductivityLimitsWPerMK.high).toBeLessThan(0.61);
  });

  it('film: free convection 2 to 25, radiation about 5.5 W/(m2 K)', () => {
    // Ranges as in Incropera, table of typical convection coefficients (from memory).
    expect(freeConvectionWPerM2K(2, 0.2)).toBeCloseTo(2.53, 2);
    expect(freeConvectionWPerM2K(0, 0.2)).toBe(2);
    expect(freeConvectionWPerM2K(-1e6, 0.01)).toBe(25);
    expect(radiationWPerM2K(25)).toBeCloseTo(5.5, 1);
    // A black body at 300 K: 4 sigma T^3 = 6.12.
    expect(radiationWPerM2K(26.85, 1)).toBeCloseTo(6.124, 3);
  });

  it('air of 100 m3/h over 5 K carries 167.7 W', () =>
    expect(sensibleHeatW(100 / 3600, 5)).toBeCloseTo(167.7, 1));
});

describe('dose', () => {
  it('Bigelow: D 4.5 min at 150 degC, z 10 K, is 0.45 min at 160 degC', () =>
    expect(decimalTimeAt(4.5, 160, 150, 10)).toBeCloseTo(0.45, 12));
  it.each([
    // Ball's lethal rate against 121.1 degC (250 degF), z 10 K; from the equation.
    [111.1, 0.1],
    [118, 0.48978],
    [121.1, 1],
    [124, 1.94984],
  ])('lethal rate at %d degC: %d', (tempC, rate) =>
    expect(lethalRate(tempC, 121.1, 10)).toBeCloseTo(rate, 5),
  );
});
