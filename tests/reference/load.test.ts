import { describe, expect, it } from 'vitest';
import type { Container } from '../../shared/farm/schema.ts';
import { coolingOf, type Thermal, thermalOf } from '../../shared/heat/container.ts';
import { constantFilm, type Film, filmWPerM2K, freeFilm } from '../../shared/heat/film.ts';
import { createLoad } from '../../shared/heat/load.ts';
import { type Form, transient } from '../../shared/heat/one-term.ts';
import { conduct } from '../tools/conduction.ts';
import { givenPart } from '../tools/first-minutes.ts';

type Shaped = Pick<Container, 'shape' | 'massKg' | 'moisture'>;

const containers: [string, Shaped][] = [
  ['jar', { shape: { form: 'cylinder', diameterM: 0.09, heightM: 0.15 }, massKg: 0.6, moisture: 0.5 }],
  ['grain bag', { shape: { form: 'cylinder', diameterM: 0.14, heightM: 0.24 }, massKg: 2.3, moisture: 0.5 }],
  ['block', { shape: { form: 'brick', widthM: 0.1, depthM: 0.14, heightM: 0.2 }, massKg: 2, moisture: 0.6 }],
  ['cube', { shape: { form: 'brick', widthM: 0.17, depthM: 0.17, heightM: 0.19 }, massKg: 4, moisture: 0.6 }],
  ['tray', { shape: { form: 'brick', widthM: 0.08, depthM: 0.3, heightM: 0.4 }, massKg: 5, moisture: 0.6 }],
];

const bodyOf = ({ axes, alphaM2PerS, conductivityWPerMK, hWPerM2K }: Thermal, cells: number) => ({
  axes: axes.map(({ form, lengthM }) => ({ form, lengthM, cells })),
  alphaM2PerS,
  conductivityWPerMK,
  hWPerM2K,
});

describe.each(containers)('a load of %ss with a constant film', (_, container) => {
  it.each([5, 12])('h %d: within 0.005 of the step of finite volumes from Fo 0.2 on, 0.02 before', (h) => {
    const thermal = thermalOf(container, { hWPerM2K: h });
    const load = createLoad({ thermal, count: 1, startC: 100, airC: 20, film: constantFilm(h) });
    const series = coolingOf(thermal);
    let elapsedS = 0;
    let early = 0;
    let late = 0;
    let product = 0;
    conduct(bodyOf(thermal, thermal.axes.length === 3 ? 12 : 20), {
      startC: 100,
      airC: () => 20,
      durationS: 1.2 * thermal.tauS,
      each(atS, { centreC, meanC }) {
        if (atS - elapsedS < 60) return;
        load.step(20, atS - elapsedS);
        elapsedS = atS;
        const off = Math.max(Math.abs(load.coreC() - centreC), Math.abs(load.meanC() - meanC)) / 80;
        if (elapsedS * thermal.fourierPerS < 0.2) early = Math.max(early, off);
        else late = Math.max(late, off);
        product = Math.max(product, Math.abs(20 + 80 * series.centre(elapsedS) - centreC) / 80);
      },
    });
    expect(late).toBeLessThan(0.005);
    expect(early).toBeLessThan(0.02);
    expect(product).toBeLessThan(0.005);
  });
});

describe('the first minutes, in which the air of a room answers', () => {
  // A half-space behind a film, by another way than sums of modes.
  it.each(containers.filter(([, { shape }]) => shape.form === 'brick'))(
    '%s: gives within 0.02 of what it should',
    (_, container) => {
      const thermal = thermalOf(container, { hWPerM2K: 9 });
      const load = createLoad({ thermal, count: 1, startC: 100, airC: 20, film: constantFilm(9) });
      const halvesM = thermal.axes.map(({ lengthM }) => lengthM);
      const givenC = () => (100 - load.meanC()) / 80;
      for (let s = 15; s <= 600; s += 15) {
        load.step(20, 15);
        if (s >= 60) expect(Math.abs(givenC() / givenPart(s, halvesM, thermal) - 1)).toBeLessThan(0.02);
      }
    },
  );
});

describe('a load in air that changes', () => {
  it('follows finite volumes through a room that heats up and cools again', () => {
    const thermal = thermalOf(containers[1]![1], { hWPerM2K: 9 });
    const load = createLoad({ thermal, count: 1, startC: 98, film: constantFilm(9) });
    const airC = (t: number): number => 22 + 14 * (t / 3000) * Math.exp(1 - t / 3000);
    let elapsedS = 0;
    let worst = 0;
    conduct(bodyOf(thermal, 20), {
      startC: 98,
      airC,
      durationS: 8 * 3600,
      each(atS, { centreC, meanC, surfaceC }) {
        if (atS - elapsedS < 60) return;
        load.step(airC((atS + elapsedS) / 2), atS - elapsedS);
        elapsedS = atS;
        worst = Math.max(worst, Math.abs(load.coreC() - centreC), Math.abs(load.meanC() - meanC));
        if (atS > 600) worst = Math.max(worst, Math.abs(load.surfaceC() - surfaceC) / 2);
      },
    });
    // 0.5 % of the step of 76 K.
    expect(worst).toBeLessThan(0.38);
  });
});

/** A body in one direction, hot, whose film changes with its surface: finite volumes with that film. */
function slabWithFilm(lengthM: number, k: number, alpha: number, film: Film) {
  const cells = 60;
  const width = lengthM / cells;
  const temps = new Float64Array(cells).fill(100);
  const dtS = (0.4 * width ** 2) / alpha;
  let surfaceC = 100;
  return (untilS: number, fromS: number) => {
    for (let t = fromS; t < untilS - 1e-9; t += dtS) {
      const step = Math.min(dtS, untilS - t);
      const h = filmWPerM2K(film, surfaceC, 22);
      const out = 1 / (width / 2 / k + 1 / h);
      const flux = temps.map((here, cell) =>
        cell === cells - 1 ? out * (here - 22) : (k / width) * (here - temps[cell + 1]!),
      );
      surfaceC = 22 + flux[cells - 1]! / h;
      for (let cell = 0; cell < cells; cell++)
        temps[cell]! += ((step * alpha) / k / width) * ((flux[cell - 1] ?? 0) - flux[cell]!);
    }
    return { centreC: temps[0]!, surfaceC, meanC: temps.reduce((a, b) => a + b, 0) / cells };
  };
}

describe('a film that falls as the surface cools', () => {
  it('is that of finite volumes with the film of each instant, which no constant film is', () => {
    // A wall of grain, 10 cm thick: one direction, where the surface has one temperature.
    const [lengthM, k, alpha] = [0.05, 0.35, 1.2e-7];
    const film = freeFilm(0.24);
    const run = slabWithFilm(lengthM, k, alpha, film);
    const axes = [{ form: 'slab' as const, lengthM, biot: 1 }];
    const thermal = { axes, alphaM2PerS: alpha, conductivityWPerMK: k, cpJPerKgK: 2500, massKg: 1 };
    const load = createLoad({ thermal, count: 1, startC: 100, film });
    const fixed = createLoad({
      thermal,
      count: 1,
      startC: 100,
      film: constantFilm(filmWPerM2K(film, 100, 22)),
    });
    let worst = 0;
    let fixedOff = 0;
    for (let t = 60; t <= 6 * 3600; t += 60) {
      const { centreC, meanC, surfaceC } = run(t, t - 60);
      load.step(22, 60);
      fixed.step(22, 60);
      worst = Math.max(worst, Math.abs(load.coreC() - centreC), Math.abs(load.meanC() - meanC));
      if (t > 300) worst = Math.max(worst, Math.abs(load.surfaceC() - surfaceC));
      fixedOff = Math.max(fixedOff, Math.abs(fixed.coreC() - centreC));
    }
    expect(worst).toBeLessThan(0.4);
    expect(fixedOff).toBeGreaterThan(3);
  });
});

describe('worked examples as loads', () => {
  const bodyAs = (
    axes: { form: Form; lengthM: number }[],
    alphaM2PerS: number,
    conductivityWPerMK: number,
  ) => ({
    axes: axes.map((axis) => ({ ...axis, biot: 1 })),
    alphaM2PerS,
    conductivityWPerMK,
    cpJPerKgK: 500,
    massKg: 1,
  });

  it('short cylinder of brass after 15 min: 63 degC at its centre', () => {
    // Cengel, Heat Transfer, example on a short cylinder (from memory): 10 cm across and 12 cm high, 120 degC
    // into air of 25 degC with h 60; k 110, alpha 33.9e-6. The book: 0.8 (plane wall) x 0.5 (cylinder), 63 degC.
    const thermal = bodyAs(
      [
        { form: 'cylinder', lengthM: 0.05 },
        { form: 'slab', lengthM: 0.06 },
      ],
      33.9e-6,
      110,
    );
    const load = createLoad({ thermal, count: 1, startC: 120, airC: 25, film: constantFilm(60) });
    for (let s = 0; s < 900; s += 60) load.step(25, 60);
    expect(Math.abs(load.coreC() - 63)).toBeLessThan(1);
  });

  it('long shaft of stainless steel after 45 min: 364 degC at its centre', () => {
    // Cengel, Heat Transfer, example on a long shaft (from memory): 20 cm across, 600 degC into 200 with h 80;
    // k 14.9, alpha 3.95e-6; Bi 0.537, Fo 1.07, one term 1.122 exp(-0.970^2 1.07) = 0.41 (its charts read 360).
    const left = transient('cylinder', (80 * 0.1) / 14.9).centre((3.95e-6 * 2700) / 0.1 ** 2);
    expect(Math.abs(200 + 400 * left - 364)).toBeLessThan(1);
    const thermal = bodyAs([{ form: 'cylinder', lengthM: 0.1 }], 3.95e-6, 14.9);
    // From 100 to 0: conduction knows differences only.
    const load = createLoad({ thermal, count: 1, startC: 100, airC: 0, film: constantFilm(80) });
    for (let s = 0; s < 2700; s += 60) load.step(0, 60);
    expect(load.coreC() / 100).toBeCloseTo(left, 3);
  });
});
