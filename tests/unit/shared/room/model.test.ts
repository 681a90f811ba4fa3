import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import {
  aroundLoadC,
  followStructure,
  loadInput,
  lossWPerK,
  ownGains,
  roomRun,
  settledRoom,
  thermostatW,
} from '../../../../shared/room/model.ts';
import { fromVector, type RoomParams, roomParamNames, toVector } from '../../../../shared/room/params.ts';
import { drawRooms, meanRoom, roomFit, usualOutsideC } from '../../../../shared/room/room-fit.ts';

const room = meanRoom(defaultRoom(16, 2_400));
/** A room whose thermostat is out of reach. */
const free: RoomParams = { ...room, coolAboveC: 58, heatBelowC: -19 };
const runs = { seed: 20_261, numRuns: 80 };
const anyRoom = fc.integer({ min: 1, max: 1_000 }).map((seed) => drawRooms(defaultRoom(20), 1, seed)[0]!);
const temp = fc.double({ min: -15, max: 60, noNaN: true });

describe('a room of two nodes', () => {
  it('follows the closed solution of two capacities in a row where no thermostat acts', () => {
    // x' = A x + b; both eigenvalues of A are real and below zero.
    const { airToStructureWPerK: g, structureToOutsideWPerK: s, leakWPerK: l } = free;
    const [ca, cs] = [free.airJPerK, free.structureJPerK];
    const [a, b, c, d] = [-(g + l) / ca, g / ca, g / cs, -(g + s) / cs];
    const heatW = 3_000;
    const outsideC = 12;
    const rest = { air: 0, structure: 0 };
    const determinant = a * d - b * c;
    const wallW = free.gainInWalls * free.gainW;
    const [fa, fs] = [(l * outsideC + heatW + free.gainW - wallW) / ca, (s * outsideC + wallW) / cs];
    rest.air = -(d * fa - b * fs) / determinant;
    rest.structure = -(a * fs - c * fa) / determinant;
    const half = (a + d) / 2;
    const root = Math.sqrt(half * half - determinant);
    const [fast, slow] = [half - root, half + root];
    const start = { airC: 21, structureC: 20 };
    const exact = (seconds: number) => {
      const [x, y] = [start.airC - rest.air, start.structureC - rest.structure];
      // Spectral form of exp(A t).
      const [ef, es] = [Math.exp(fast * seconds), Math.exp(slow * seconds)];
      const p = (ef * (a - slow) - es * (a - fast)) / (fast - slow);
      return rest.air + p * x + ((b * (ef - es)) / (fast - slow)) * y;
    };
    for (const stepS of [30, 60, 300]) {
      const run = roomRun(free, start, stepS);
      const own = ownGains(free);
      for (let t = stepS; t <= 6 * 3_600; t += stepS) {
        run.step(outsideC, own.airW + heatW, own.wallW, 1);
        // Within 3 % of the whole rise at any time, chosen for steps of a minute against a lag of minutes.
        expect(Math.abs(run.airC - exact(t))).toBeLessThan(0.03 * (rest.air - start.airC));
      }
      expect(run.airC).toBeCloseTo(exact(6 * 3_600), 0);
    }
  });

  it('settles where its heat balance does', () => {
    fc.assert(
      fc.property(anyRoom, temp, fc.double({ min: 0, max: 5_000, noNaN: true }), (any, outsideC, heatW) => {
        const state = { airC: 20, structureC: 20 };
        const run = roomRun(any, state, 3_600);
        for (let hour = 0; hour < 24 * 120; hour += 1) run.step(outsideC, any.gainW + heatW, 0, 1);
        const lost = lossWPerK(any) * (run.airC - outsideC) + thermostatW(any, run.airC, outsideC);
        const gained = any.gainW + heatW;
        if (run.airC < 89) expect(Math.abs(lost - gained)).toBeLessThan(0.02 * gained + 2);
      }),
      { ...runs, numRuns: 25 },
    );
  });

  it('is never colder for more heat, or warmer for more cooling', () => {
    fc.assert(
      fc.property(anyRoom, temp, temp, temp, (any, airC, structureC, outsideC) => {
        const own = ownGains(any);
        const airOf = (heatW: number, cooling: number) => {
          const run = roomRun(any, { airC, structureC }, 300);
          run.step(outsideC, own.airW + heatW, own.wallW, cooling);
          return run.airC;
        };
        // With a cooler that takes its time more heat may call it sooner, and be colder for a moment.
        expect(airOf(900, 0)).toBeGreaterThanOrEqual(airOf(500, 0) - 1e-9);
        expect(airOf(500, 0)).toBeGreaterThanOrEqual(airOf(500, 1) - 1e-9);
      }),
      runs,
    );
  });

  it('does not overshoot, whatever the step', () => {
    fc.assert(
      fc.property(anyRoom, temp, temp, fc.constantFrom(1, 60, 300, 3_600), (any, airC, outsideC, stepS) => {
        const quiet = { ...any, gainW: 1e-9, coolAboveC: 60, heatBelowC: -20 };
        const run = roomRun(quiet, { airC, structureC: airC }, stepS);
        const own = ownGains(quiet);
        const low = Math.min(airC, outsideC) - 1e-6;
        const high = Math.max(airC, outsideC) + 1e-6;
        for (let n = 0; n < 40; n += 1) {
          run.step(outsideC, own.airW, own.wallW, 1);
          expect(run.airC).toBeGreaterThanOrEqual(low);
          expect(run.airC).toBeLessThanOrEqual(high);
        }
      }),
      runs,
    );
  });

  it('has the same structure behind measured air as it has behind its own', () => {
    const run = roomRun(free, settledRoom(free, 22, 10), 60);
    const own = ownGains(free);
    let { structureC } = run;
    for (let minute = 0; minute < 600; minute += 1) {
      run.step(10, own.airW + 2_000, own.wallW + 400, 1);
      structureC = followStructure(free, structureC, { airC: run.airC, outsideC: 10, structureW: 400 }, 60);
    }
    // The room steps by backward Euler, the structure exactly: a minute of a day-long lag lies between them.
    expect(structureC).toBeCloseTo(run.structureC, 1);
  });

  it('refuses steps that are none', () => {
    const state = { airC: 20, structureC: 20 };
    expect(() => roomRun(room, state, -1)).toThrow(/step of a room is -1 s/);
    expect(() => roomRun(room, state, Number.NaN)).toThrow(/step of a room/);
  });
});

describe('what is known of a room', () => {
  it('goes to numbers and back', () => {
    expect(fromVector(toVector(room))).toEqual(
      Object.fromEntries(roomParamNames.map((name) => [name, expect.closeTo(room[name], 6)])),
    );
  });

  it('is a whole fit, and its draws are rooms about its mean', () => {
    const fit = roomFit.parse(JSON.parse(JSON.stringify(defaultRoom(16, 2_400))));
    const rooms = drawRooms(fit, 200, 7);
    expect(drawRooms(fit, 200, 7)).toEqual(rooms);
    const logs = rooms.map(({ coolingW }) => Math.log(coolingW / 2_400));
    expect(logs.reduce((sum, log) => sum + log, 0) / 200).toBeCloseTo(0, 6);
    const sd = Math.sqrt(logs.reduce((sum, log) => sum + log * log, 0) / 200);
    expect(sd).toBeGreaterThan(0.16);
    expect(sd).toBeLessThan(0.24);
    for (const drawn of rooms) expect(Math.min(...Object.values(drawn))).toBeGreaterThan(0);
  });

  it('refuses a floor area or nameplate that cannot be', () => {
    expect(() => defaultRoom(0)).toThrow(/floor area is 0 m2/);
    expect(() => defaultRoom(16, -2)).toThrow(/nameplate is -2 W/);
  });

  it('has outside air that goes round the day', () => {
    const fit = defaultRoom(16);
    expect(usualOutsideC(fit, 14.99)).toBeCloseTo(20, 1);
    expect(usualOutsideC(fit, 0)).toBeCloseTo(usualOutsideC(fit, 24), 9);
  });
});

describe('heat of a hot load', () => {
  const even: RoomParams = { ...room, radiantFactor: 1 };
  const film = { convectiveWPerK: 60, radiantWPerK: 90 };
  const share = film.radiantWPerK / (film.convectiveWPerK + film.radiantWPerK);

  // Convection and radiation side by side, each by its own difference (ISO 6946:2017, annex C, has h = hc + hr).
  it('comes to air and walls by how much warmer the skin is than each', () => {
    const anyOver = fc.double({ min: 4, max: 70, noNaN: true });
    const anyWall = fc.double({ min: -4, max: 3, noNaN: true });
    fc.assert(
      fc.property(anyOver, anyWall, (overK, wallK) => {
        const state = { airC: 24, structureC: 24 + wallK };
        const skinC = 24 + overK;
        const airW = film.convectiveWPerK * (skinC - state.airC);
        const wallW = film.radiantWPerK * (skinC - state.structureC);
        const aroundC = aroundLoadC(even, state, share);
        const loadW = (film.convectiveWPerK + film.radiantWPerK) * (skinC - aroundC);
        expect(loadW).toBeCloseTo(airW + wallW, 6);
        const given = loadInput(even, loadW, { radiantShare: share, skinC }, state);
        expect(given.heatW).toBeCloseTo(airW, 6);
        expect(given.structureW).toBeCloseTo(wallW, 6);
      }),
      runs,
    );
  });

  it('is never more to one side than all of it, however near the skin is to what is about it', () => {
    fc.assert(
      fc.property(temp, temp, temp, fc.double({ min: -500, max: 5_000, noNaN: true }), (...drawn) => {
        const [skinC, airC, structureC, loadW] = drawn;
        const given = loadInput(even, loadW, { radiantShare: share, skinC }, { airC, structureC });
        expect(given.heatW + given.structureW).toBeCloseTo(loadW, 6);
        for (const part of [given.heatW, given.structureW]) {
          expect(part * Math.sign(loadW)).toBeGreaterThanOrEqual(-1e-9);
          expect(Math.abs(part)).toBeLessThanOrEqual(Math.abs(loadW) + 1e-9);
        }
      }),
      runs,
    );
  });
});
