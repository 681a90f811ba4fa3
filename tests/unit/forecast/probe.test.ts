import { describe, expect, test } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { stepMs } from '../../../collector/forecast/grid.ts';
import { type FarmFile, farmFile } from '../../../shared/farm/schema.ts';
import { hourMs } from '../../../shared/time.ts';
import { at, batchOf, farm, readings, wellKnown } from './farm.ts';

/** A room that swings by 3 K with the day. */
const air = (day: number): number => 22 + 3 * Math.sin(2 * Math.PI * day);
const days = 6;

/** The farm with a probe on shelf A1, in a bag of `batch`. */
const probedFarm = (inBag?: { batch: string; from?: string }): FarmFile =>
  farmFile.parse({
    ...farm,
    sensors: [
      ...farm.sensors,
      {
        id: 'stick',
        topic: 't/stick',
        decoder: 'plain',
        at: 'A1',
        ...(inBag === undefined ? {} : { inBag }),
        channels: [{ quantity: 'probe-temperature', unit: 'degC' }],
      },
    ],
  });

function engineWithProbe(file: FarmFile, probeAt: (day: number) => number, late = false) {
  const engine = createEngine();
  engine.setFarm(file);
  const own = readings(-3, days, air);
  const probe = readings(0, days, probeAt);
  engine.addReadings('on-a1.temperature', own.t, own.value);
  engine.setBatches([batchOf(), batchOf({ id: 'b2' })]);
  if (late) engine.advance(at(days));
  engine.addReadings('stick.probe-temperature', probe.t, probe.value);
  return engine;
}
/** At the end of a step, when every batch has taken its turn. */
const coresOf = (engine: ReturnType<typeof createEngine>, day = days): number[] =>
  engine.advance(at(day) + stepMs - 1).forecasts.map((one) => one.coreTempC);

/** What the model says without a probe, and a bag 1.5 K above it that swings half as much. */
const plain = coresOf(engineWithProbe(probedFarm(), () => 0))[0]!;
const bag = (day: number): number => 23.5 + 0.8 * Math.sin(2 * Math.PI * day - 1.6);

describe('a probe in a bag', () => {
  test('brings the core of its batch to what it says, and leaves the other batch on the shelf alone', () => {
    const [own, other] = coresOf(engineWithProbe(probedFarm({ batch: 'b1' }), bag));
    // Scatter of a probe about the model that the filter allows for is 0.25 K (`probeSdK`); two of them.
    expect(Math.abs(own! - bag(days))).toBeLessThan(0.5);
    expect(Math.abs(plain - bag(days))).toBeGreaterThan(0.5);
    expect(other).toBe(plain);
  });

  test('without a batch it is shown and alarmed on, and no forecast rests on it', () => {
    expect(coresOf(engineWithProbe(probedFarm(), bag))).toEqual([plain, plain]);
  });

  test('counts from the instant on that it was put in', () => {
    const since = new Date(at(4)).toISOString();
    const before = engineWithProbe(probedFarm({ batch: 'b1', from: since }), bag);
    const unprobed = engineWithProbe(probedFarm(), bag);
    expect(coresOf(before, 3.9)).toEqual(coresOf(unprobed, 3.9));
    expect(coresOf(before)).not.toEqual(coresOf(unprobed));
  });

  test('makes the forecast narrower: the core is no guess any more', () => {
    const width = (inBag?: { batch: string }): number => {
      const engine = engineWithProbe(probedFarm(inBag), bag);
      engine.setBeliefs(wellKnown);
      const { at: ready } = engine.advance(at(days)).forecasts[0]!.ready;
      return ready!.latest - ready!.earliest;
    };
    expect(width({ batch: 'b1' })).toBeLessThan(width());
  });

  test('late or in time, in pieces or at once: the same', () => {
    const inBag = { batch: 'b1' };
    const whole = engineWithProbe(probedFarm(inBag), bag).advance(at(days)).forecasts[0]!;
    const late = engineWithProbe(probedFarm(inBag), bag, true).advance(at(days)).forecasts[0]!;
    expect(late).toEqual(whole);

    const pieces = createEngine();
    pieces.setFarm(probedFarm(inBag));
    pieces.setBatches([batchOf(), batchOf({ id: 'b2' })]);
    const own = readings(-3, days, air);
    const probe = readings(0, days, bag);
    for (let t = at(-3); t < at(days); t += 7 * hourMs) {
      for (const [channel, { t: times, value }] of [
        ['on-a1.temperature', own],
        ['stick.probe-temperature', probe],
      ] as const) {
        const from = times.findIndex((one) => one >= t);
        const to = times.findIndex((one) => one >= t + 7 * hourMs);
        if (from < 0) continue;
        const end = to < 0 ? times.length : to;
        pieces.addReadings(channel, times.subarray(from, end), value.subarray(from, end));
      }
      pieces.advance(Math.min(t + 7 * hourMs, at(days)) - (stepMs - 1));
    }
    expect(pieces.advance(at(days)).forecasts[0]).toEqual(whole);
  });
});
