import fc from 'fast-check';
import { expect, it } from 'vitest';
import { type LayerState, stepLayers } from '../../../simulator/room/layers.ts';

const tempC = fc.double({ min: -10, max: 60, noNaN: true });
const positive = (max: number) => fc.double({ min: 0.1, max, noNaN: true });
const cases = fc.record({
  airC: fc.array(tempC, { minLength: 2, maxLength: 6 }),
  structureC: tempC,
  outsideC: tempC,
  freshC: tempC,
  airJPerK: positive(5e5),
  structureJPerK: positive(1e7),
  airToStructureWPerK: positive(800),
  structureToOutsideWPerK: positive(200),
  freshWPerK: positive(300),
  mixingWPerK: positive(500),
  heat: fc.double({ min: -3_000, max: 3_000, noNaN: true }),
  stepS: fc.constantFrom(1, 60, 3_600),
});

const stored = (state: LayerState, airJPerK: number, structureJPerK: number) =>
  (state.airC.reduce((sum, layerC) => sum + layerC, 0) * airJPerK) / state.airC.length +
  state.structureC * structureJPerK;

it('stores exactly what comes in and does not go out', () => {
  fc.assert(
    fc.property(cases, ({ airC, structureC, heat, stepS, ...rest }) => {
      const state = { airC: [...airC], structureC };
      const spec = { layers: airC.length, ...rest };
      const before = stored(state, spec.airJPerK, spec.structureJPerK);
      const heatW = airC.map((_, layer) => (layer === 0 ? 0.6 * heat : 0));
      const lostJ = stepLayers(state, spec, { ...rest, heatW, structureW: 0.4 * heat }, stepS);
      const after = stored(state, spec.airJPerK, spec.structureJPerK);
      const scale = Math.abs(before) + Math.abs(lostJ) + Math.abs(heat * stepS) + 1;
      expect(Math.abs(after - before - (heat * stepS - lostJ)) / scale).toBeLessThan(1e-8);
    }),
    { numRuns: 200, seed: 6 },
  );
});

it('without heat, no air ends outside the span of what surrounds it', () => {
  fc.assert(
    fc.property(cases, ({ airC, structureC, heat: _, stepS, ...rest }) => {
      const state = { airC: [...airC], structureC };
      const all = [...airC, structureC, rest.outsideC, rest.freshC];
      const heatW = airC.map(() => 0);
      stepLayers(state, { layers: airC.length, ...rest }, { ...rest, heatW, structureW: 0 }, stepS);
      for (const layerC of [...state.airC, state.structureC]) {
        expect(layerC).toBeGreaterThanOrEqual(Math.min(...all) - 1e-6);
        expect(layerC).toBeLessThanOrEqual(Math.max(...all) + 1e-6);
      }
    }),
    { numRuns: 200, seed: 7 },
  );
});
