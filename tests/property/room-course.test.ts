import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { thermalOf } from '../../shared/heat/container.ts';
import { createLoad } from '../../shared/heat/load.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import type { RoomParams } from '../../shared/room/params.ts';
import { meanRoom } from '../../shared/room/room-fit.ts';
import { runRoom } from '../../shared/unload/room-course.ts';
import { block } from '../tools/plan-question.ts';

const thermal = thermalOf(block);
const counts = fc.integer({ min: 1, max: 1000 });
const area = fc.double({ min: 2, max: 60, noNaN: true });
/** Air stays below 90 °C here, where the room's model ends. */
const larger = fc.double({ min: 15, max: 60, noNaN: true });
const films = fc.double({ min: 0.3, max: 2, noNaN: true });
const runs = { seed: 20_262, numRuns: 25 };

/** Nothing comes in or goes out: no gains, cooler or heater, walls like a thermos. */
const closed = (room: RoomParams): RoomParams => ({
  ...room,
  ...{ gainW: 0, workGainW: 0, coolingW: 0, heatingW: 0, leakWPerK: 0, structureToOutsideWPerK: 0 },
});

const course = (room: RoomParams, count: number, filmFactor: number, steps: number[], startC = 96) => {
  const load = createLoad({ thermal, count, startC, filmFactor });
  const { airC, structureC } = runRoom({
    ...{ room, airC: 22, structureC: 21.5, steps, loads: [{ load, atS: 0, radiantFactor: 1 }] },
    outsideC: new Float64Array(steps.length).fill(15),
    working: new Uint8Array(steps.length),
  });
  return { airC, structureC, load, lastC: airC[steps.length]!, wallC: structureC[steps.length]! };
};
/** How often a course turns down again after it rose, by more than `stillK` each. */
function peaksOf(airC: Float64Array, stillK: number): number {
  let [low, high, peaks, rises] = [airC[0]!, airC[0]!, 0, false];
  for (const tempC of airC) {
    if (rises && tempC < high - stillK) [rises, low, peaks] = [false, tempC, peaks + 1];
    if (!rises && tempC > low + stillK) [rises, high] = [true, tempC];
    [low, high] = [Math.min(low, tempC), Math.max(high, tempC)];
  }
  return peaks;
}

const steps = (count: number, dtS: number): number[] => new Array<number>(count).fill(dtS);

describe('a room and its hot load', () => {
  it('keep all heat: what the load loses is in the air and the walls', () => {
    fc.assert(
      fc.property(larger, counts, films, (floor, count, film) => {
        const room = closed(meanRoom(defaultRoom(floor)));
        const { load, lastC, wallC } = course(room, count, film, [...steps(30, 60), ...steps(100, 300)]);
        const heatJPerK = count * thermal.massKg * thermal.cpJPerKgK;
        const lostJ = heatJPerK * (96 - load.meanC());
        const storedJ = room.airJPerK * (lastC - 22) + room.structureJPerK * (wallC - 21.5);
        expect(Math.abs(storedJ / lostJ - 1)).toBeLessThan(1e-6);
      }),
      runs,
    );
  });
  it('never pass the load itself, nor swing: air peaks once for hot skins and once for what comes from within', () => {
    fc.assert(
      fc.property(area, counts, films, fc.constantFrom(60, 300), (floor, count, film, dtS) => {
        const room = { ...closed(meanRoom(defaultRoom(floor))), structureToOutsideWPerK: 40, leakWPerK: 10 };
        const { airC } = course(room, count, film, steps(150, dtS));
        // In steps of five minutes the first peak of the smallest rooms is a single one, which tells no shape.
        if (dtS === 60) expect(peaksOf(airC, 0.005 * (Math.max(...airC) - 22) + 0.02)).toBeLessThanOrEqual(2);
        for (const tempC of airC) {
          expect(tempC).toBeLessThanOrEqual(96);
          expect(tempC).toBeGreaterThanOrEqual(15);
        }
      }),
      runs,
    );
  });
  it('more containers, hotter ones or a better film warm it more', () => {
    fc.assert(
      fc.property(area, fc.integer({ min: 5, max: 400 }), films, (floor, count, film) => {
        const room = meanRoom(defaultRoom(floor));
        const peak = (many: number, factor: number, startC = 96): number =>
          Math.max(...course(room, many, factor, steps(60, 300), startC).airC);
        const base = peak(count, film);
        expect(peak(Math.ceil(1.2 * count), film)).toBeGreaterThanOrEqual(base - 1e-6);
        expect(peak(count, 1.2 * film)).toBeGreaterThanOrEqual(base - 0.02);
        expect(peak(count, film, 90)).toBeLessThanOrEqual(base + 1e-6);
      }),
      runs,
    );
  });
  it('steps of five minutes tell nearly what steps of twenty seconds do', () => {
    const room = meanRoom(defaultRoom(20, 3000));
    const fine = course(room, 200, 0.6, steps(720, 20)).airC;
    const coarse = course(room, 200, 0.6, steps(48, 300)).airC;
    const rise = Math.max(...fine) - 22;
    expect(rise).toBeGreaterThan(4);
    expect(Math.abs(Math.max(...coarse) - Math.max(...fine))).toBeLessThan(0.06 * rise);
    coarse.forEach((tempC, step) => {
      if (step >= 6) expect(Math.abs(tempC - fine[15 * step]!)).toBeLessThan(0.06 * rise);
    });
  });
  it('a settled room with a steady heat rests where its balance does', () => {
    // By hand: 500 W over 20 W/K of leak beside 10 W/K through the structure's two conductances in a row.
    const room: RoomParams = {
      ...closed(meanRoom(defaultRoom(20))),
      ...{ gainW: 500, gainInWalls: 0, leakWPerK: 20, airToStructureWPerK: 20, structureToOutsideWPerK: 20 },
      ...{ airJPerK: 1e5, structureJPerK: 1e6 },
    };
    const rested = runRoom({
      ...{ room, airC: 22, structureC: 21.5, steps: steps(2000, 3600), loads: [] },
      outsideC: new Float64Array(2000).fill(15),
      working: new Uint8Array(2000),
    });
    expect(rested.airC[2000]).toBeCloseTo(15 + 500 / 30, 6);
  });
  it('a load that only gives never leaves the room cooler than it is without it, nor itself colder than it was', () => {
    fc.assert(
      fc.property(larger, counts, fc.double({ min: 5, max: 40, noNaN: true }), (floor, count, startC) => {
        const room = meanRoom(defaultRoom(floor));
        const run = (loads: number) => {
          const hot = createLoad({ thermal, count: 30, startC: 96 });
          const cold = createLoad({ thermal, count, startC });
          const { airC } = runRoom({
            ...{ room, airC: 22, structureC: 21.5, steps: steps(80, 300) },
            loads: [
              { load: hot, atS: 0, radiantFactor: 1 },
              { load: cold, atS: 0, radiantFactor: 1, onlyGives: true },
            ].slice(0, loads),
            outsideC: new Float64Array(80).fill(15),
            working: new Uint8Array(80),
          });
          return { airC, coldC: cold.meanC() };
        };
        const alone = run(1).airC;
        const both = run(2);
        both.airC.forEach((tempC, step) => {
          expect(tempC).toBeGreaterThan(alone[step]! - 0.05);
        });
        expect(both.coldC).toBeLessThan(startC + 0.02);
      }),
      runs,
    );
  });
});
