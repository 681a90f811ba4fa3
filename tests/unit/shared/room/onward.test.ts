import { describe, expect, it } from 'vitest';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { ownGains, settledRoom } from '../../../../shared/room/model.ts';
import { heatBehindW, onwardC } from '../../../../shared/room/onward.ts';
import type { RoomParams } from '../../../../shared/room/params.ts';
import { meanRoom } from '../../../../shared/room/room-fit.ts';

const room: RoomParams = meanRoom(defaultRoom(20, 2_500, { setC: 22 }));
const steps = 48;
const ahead = (outsideC: number, working = false) => ({
  stepS: 300,
  outsideC: new Float64Array(steps).fill(outsideC),
  workingNow: working,
  working: Array.from({ length: steps }, () => working),
});

/**
 * Two nodes without a thermostat in closed form: the linear system x' = A x + b by the eigenvalues of its
 * two-by-two matrix (any text on linear differential equations).
 */
function closedForm(airC: number, wallC: number, heatW: number, outsideC: number, t: number): number {
  const { airJPerK: ca, structureJPerK: cs, airToStructureWPerK: inner } = room;
  const { structureToOutsideWPerK: outer, leakWPerK: leak } = room;
  const { wallW } = ownGains(room);
  const [a, b, c, d] = [-(inner + leak) / ca, inner / ca, inner / cs, -(inner + outer) / cs];
  const [fa, fs] = [(heatW + leak * outsideC) / ca, (wallW + outer * outsideC) / cs];
  const det = a * d - b * c;
  const restA = (-fa * d + fs * b) / det;
  const restS = (-a * fs + c * fa) / det;
  const half = (a + d) / 2;
  const root = Math.sqrt(half * half - det);
  const [fast, slow] = [half - root, half + root];
  const [x, y] = [airC - restA, wallC - restS];
  // (A - slow) x and (A - fast) x span the two modes.
  const ofFast = ((a - slow) * x + b * y) / (fast - slow);
  const ofSlow = ((a - fast) * x + b * y) / (slow - fast);
  return restA + ofFast * Math.exp(fast * t) + ofSlow * Math.exp(slow * t);
}

describe('where the air of a room goes on', () => {
  it('follows two nodes in closed form', () => {
    const state = { airC: 24, structureC: 23 };
    const perH = 3;
    const heatW = heatBehindW(room, state, 12, perH);
    const course = onwardC(room, state, perH, ahead(12));
    const total = Math.abs(closedForm(24, 23, heatW, 12, steps * 300) - 24);
    course.forEach((airC, step) => {
      const exactC = closedForm(24, 23, heatW, 12, (step + 1) * 300);
      expect(Math.abs(airC - exactC)).toBeLessThan(0.02 * total + 0.02);
    });
  });
  it('begins with the speed that it was given', () => {
    const fine = { ...ahead(15), stepS: 6 };
    const [first] = onwardC(room, { airC: 25, structureC: 24 }, 2.4, fine);
    expect(((first! - 25) * 3600) / 6).toBeCloseTo(2.4, 1);
  });
  it('stays where it is in a settled room that does not move', () => {
    const { airC, structureC } = settledRoom(room, 22, 15);
    for (const tempC of onwardC(room, { airC, structureC }, 0, ahead(15))) expect(tempC).toBeCloseTo(22, 2);
  });
  it('knows that lamps go out: an evening is cooler than it would be', () => {
    const state = { airC: 25, structureC: 24 };
    const on = onwardC(room, state, 1, ahead(15, true));
    const off = onwardC(room, state, 1, {
      ...ahead(15, true),
      working: Array.from({ length: steps }, () => false),
    });
    const lessK = on.at(-1)! - off.at(-1)!;
    expect(lessK).toBeGreaterThan((0.8 * room.workGainW) / room.airToStructureWPerK);
  });
  it('takes loads that cool down into account', () => {
    const state = { airC: 25, structureC: 24 };
    const loads = { moreAirW: new Float64Array(steps).fill(-300), wallW: new Float64Array(steps) };
    const falling = onwardC(room, state, 1, { ...ahead(15), loads });
    expect(falling.at(-1)!).toBeLessThan(onwardC(room, state, 1, ahead(15)).at(-1)!);
  });
});
