import { describe, expect, it } from 'vitest';
import { thermalOf } from '../../../../shared/heat/container.ts';
import { evenCore, stepCoreChain } from '../../../../shared/heat/core-chain.ts';
import { followProbe, newProbe, probeCorrection, scaledThermal } from '../../../../shared/heat/probe.ts';

const thermal = thermalOf({
  shape: { form: 'cylinder', diameterM: 0.14, heightM: 0.24 },
  massKg: 2.3,
  moisture: 0.5,
});
/** A room that swings by the day, as rooms do. */
const airC = (hour: number): number => 22 + 2.5 * Math.sin((2 * Math.PI * hour) / 24);

/** A bag that is `factor` times slower and reads `offsetK` high, watched every `everyS` for `days`. */
function watch(factor: number, offsetK: number, days: number, everyS = 600, wild = false) {
  const truth = scaledThermal(thermal, factor);
  let bag = evenCore(22);
  let state = newProbe(22);
  for (let s = everyS, reading = 0; s <= days * 86_400; s += everyS, reading++) {
    const step = { airC: airC((s - everyS / 2) / 3600), heatingWPerKg: 0.1, dtS: everyS };
    bag = stepCoreChain(bag, { ...step, thermal: truth });
    const noiseK = 0.1 * Math.sin(reading * 12.9898);
    const probeC = wild && reading % 97 === 0 ? -20 : bag.coreC + offsetK + noiseK;
    state = followProbe(state, { ...step, thermal }, probeC);
  }
  return { correction: probeCorrection(state), bagC: bag.coreC + offsetK };
}

describe('probe in a bag', () => {
  it('says nothing before the first reading', () => {
    const { offsetK, tauFactor, readings, coreC } = probeCorrection(newProbe(22));
    expect(offsetK).toBe(0);
    expect(tauFactor).toBeCloseTo(1, 2);
    expect(readings).toBe(0);
    expect(coreC).toBeCloseTo(22, 9);
  });

  it.each([
    [0.7, 0.4],
    [1, 0],
    [1.4, -0.8],
    [1.8, 1.2],
  ])('finds a bag %d times as slow that reads %d K off within five days', (factor, offsetK) => {
    const { correction, bagC } = watch(factor, offsetK, 5);
    expect(Math.abs(Math.log(correction.tauFactor / factor))).toBeLessThan(0.15);
    expect(Math.abs(correction.coreC - bagC)).toBeLessThan(0.3);
    expect(Math.abs(correction.offsetK - offsetK)).toBeLessThan(0.4);
  });

  it('is not broken by a probe that is lifted out now and then', () => {
    const { correction } = watch(1.4, 0.5, 5, 600, true);
    expect(Math.abs(Math.log(correction.tauFactor / 1.4))).toBeLessThan(0.2);
    expect(Math.abs(correction.offsetK - 0.5)).toBeLessThan(0.5);
  });

  it('is as sure after a day of readings a minute apart as after one of ten minutes', () => {
    const often = watch(1, 0, 1, 60).correction.offsetSdK;
    const seldom = watch(1, 0, 1, 600).correction.offsetSdK;
    expect(often / seldom).toBeGreaterThan(0.8);
    expect(often / seldom).toBeLessThan(1.2);
  });

  it('follows the air through a silence', () => {
    const step = { airC: 30, heatingWPerKg: 0, dtS: 86_400 * 5, thermal };
    const state = followProbe(newProbe(20), step, null);
    expect(probeCorrection(state).coreC).toBeCloseTo(30, 2);
    expect(followProbe(newProbe(20), { ...step, dtS: 600 }, Number.NaN).guesses[0]!.offsetK).toBe(0);
  });
});
