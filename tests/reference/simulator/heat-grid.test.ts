import { describe, expect, it } from 'vitest';
import type { Container } from '../../../shared/farm/schema.ts';
import { createHeatGrid } from '../../../simulator/bag/heat-grid.ts';
import { conduct } from '../../tools/conduction.ts';
import { givenPart } from '../../tools/first-minutes.ts';

const kind = (shape: Container['shape']): Container => ({
  ...{ id: 'k', name: 'Kind', kind: 'block', shape, massKg: 2.5, volumeL: 5, moisture: 0.6 },
  shakeable: false,
});
const conductivityWPerMK = 0.25;
const cpJPerKgK = 3_100;

describe('the cells of a hot container', () => {
  // An explicit finite-volume solution of the conduction equation that shares no formula with it.
  it.each([
    ['a brick', { form: 'brick', widthM: 0.2, depthM: 0.13, heightM: 0.22 } as const],
    ['a cylinder', { form: 'cylinder', diameterM: 0.15, heightM: 0.2 } as const],
  ])('cool as a fine solution has %s cool, within 1 K of 70', (_, shape) => {
    const container = kind(shape);
    const volumeM3 =
      shape.form === 'brick'
        ? shape.widthM * shape.depthM * shape.heightM
        : (Math.PI / 4) * shape.diameterM ** 2 * shape.heightM;
    const alphaM2PerS = conductivityWPerMK / ((container.massKg / volumeM3) * cpJPerKgK);
    const axes =
      shape.form === 'brick'
        ? [shape.widthM, shape.depthM, shape.heightM].map((edge) => ({
            ...{ form: 'slab' as const, lengthM: edge / 2, cells: 10 },
          }))
        : [
            { form: 'cylinder' as const, lengthM: shape.diameterM / 2, cells: 12 },
            { form: 'slab' as const, lengthM: shape.heightM / 2, cells: 12 },
          ];
    const fine: { s: number; centreC: number; meanC: number }[] = [];
    conduct(
      { axes, alphaM2PerS, conductivityWPerMK, hWPerM2K: 9 },
      {
        ...{ startC: 95, airC: () => 25, durationS: 6 * 3_600 },
        each: (s, { centreC, meanC }) => fine.push({ s, centreC, meanC }),
      },
    );
    const grid = createHeatGrid(container, conductivityWPerMK, cpJPerKgK);
    const tempsC = Array.from({ length: grid.cells }, () => 95);
    let gaveJ = 0;
    for (let minute = 1; minute <= 360; minute += 1) {
      const around = { airC: 25, wallC: 25, convectiveWPerM2K: 4, radiantWPerM2K: 5 };
      const { airW, wallW } = grid.step(tempsC, around, 60);
      expect(airW / wallW).toBeCloseTo(4 / 5, 9);
      gaveJ += 60 * (airW + wallW);
      const then = fine.find(({ s }) => s >= minute * 60)!;
      expect(Math.abs(grid.coreC(tempsC) - then.centreC)).toBeLessThan(1);
      expect(Math.abs(grid.meanC(tempsC) - then.meanC)).toBeLessThan(1);
    }
    // No heat is lost or made.
    expect(gaveJ / (grid.capacityJPerK * (95 - grid.meanC(tempsC)))).toBeCloseTo(1, 6);
  });

  it('give in their first ten minutes what a half-space behind the same film gives, within 0.03', () => {
    const container = kind({ form: 'brick', widthM: 0.2, depthM: 0.13, heightM: 0.22 });
    const grid = createHeatGrid(container, conductivityWPerMK, cpJPerKgK);
    const alphaM2PerS = conductivityWPerMK / ((container.massKg / (0.2 * 0.13 * 0.22)) * cpJPerKgK);
    const tempsC = Array.from({ length: grid.cells }, () => 95);
    const around = { airC: 25, wallC: 25, convectiveWPerM2K: 4, radiantWPerM2K: 5 };
    for (let minute = 1; minute <= 10; minute += 1) {
      grid.step(tempsC, around, 60);
      const should = givenPart(minute * 60, [0.1, 0.065, 0.11], {
        alphaM2PerS,
        conductivityWPerMK,
        hWPerM2K: 9,
      });
      expect(Math.abs((95 - grid.meanC(tempsC)) / 70 / should - 1)).toBeLessThan(0.03);
    }
  });
});
