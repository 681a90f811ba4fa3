import { describe, expect, test } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { cohortForecast } from '../../../shared/forecasts.ts';
import { at, batchOf, engineWith, farm, readings, wellKnown } from './farm.ts';

/** What no air may do to a forecast. */
function sound(engine: ReturnType<typeof engineWith>, day: number): void {
  const { forecasts, problems } = engine.advance(at(day));
  expect(problems).toEqual([]);
  expect(forecasts.length).toBeGreaterThan(0);
  for (const one of forecasts) {
    cohortForecast.parse(one);
    const text = JSON.stringify(one);
    expect(text).not.toMatch(/NaN|Infinity/);
    // JSON tells infinities and NaN as null: only what may be null is.
    const numbers = [
      one.coreTempC,
      one.thermalDays,
      one.degreeDays,
      one.heat.equivalentHours,
      one.share.likely,
    ];
    for (const number of numbers) expect(Number.isFinite(number)).toBe(true);
    expect(one.thermalDays).toBeGreaterThanOrEqual(0);
    for (const instant of [one.ready.at, one.shake.opens, one.shake.best, one.shake.closes]) {
      if (instant === null || one.ready.seen) continue;
      expect(instant.earliest).toBeGreaterThanOrEqual(at(day));
      expect(Number.isFinite(instant.latest)).toBe(true);
    }
    if (one.useBy.at !== null) expect(Number.isFinite(one.useBy.at)).toBe(true);
  }
}

describe('hostile air', () => {
  test.each([
    ['60 °C for a day', (day: number) => (day > 5 && day < 6 ? 60 : 24)],
    ['a sensor that says 150 °C', () => 150],
    ['frost', () => -30],
    ['wild swings', (day: number) => (Math.floor(day * 24) % 2 === 0 ? 60 : -20)],
  ])('%s', (_, air) => {
    const engine = engineWith(
      [batchOf({ checks: [[4, 0.3]], shakes: [4.5] }), batchOf({ id: 'b2', shelf: 'A2' })],
      air,
    );
    for (const day of [0.01, 3, 4.6, 5.5, 7, 20]) sound(engine, day);
  });

  test('a gap of five days is bridged, marked and widens the interval', () => {
    const width = (gap: boolean) => {
      const engine = createEngine();
      engine.setFarm(farm);
      engine.setBeliefs(wellKnown);
      const { t, value } = readings(-3, 9, () => 24);
      const kept = [...t.keys()].filter((i) => !gap || t[i]! < at(4));
      engine.addReadings(
        'on-a1.temperature',
        kept.map((i) => t[i]!),
        kept.map((i) => value[i]!),
      );
      engine.setBatches([batchOf()]);
      sound(engine, 8.9);
      engine.setBatches([batchOf()]);
      const one = engine.advance(at(9)).forecasts[0]!;
      return { air: one.air, days: one.ready.at!.latest - one.ready.at!.earliest };
    };
    expect(width(false).air).toBe('measured');
    expect(width(true).air).toBe('filled');
    expect(width(true).days).toBeGreaterThan(width(false).days);
  });

  test('values that are none are passed over', () => {
    const engine = engineWith([batchOf()], () => 24);
    const before = engine.advance(at(5)).forecasts;
    engine.addReadings('on-a1.temperature', [at(4), at(4.5)], [Number.NaN, Number.POSITIVE_INFINITY]);
    engine.setBatches([batchOf()]);
    expect(engine.advance(at(5)).forecasts).toEqual(before);
  });
});

describe('impossible parameters', () => {
  test('limits in the wrong order stop their own batches only, and say the rule', () => {
    const species = [
      {
        id: 'odd',
        name: 'Odd',
        latin: 'Nullus nullus',
        tMinC: 10,
        tOptC: 30,
        tMaxC: 25,
        rateMmPerDay: 4,
        lagDays: 1,
        warmLimitC: 30,
        heatLimitC: 35,
        pinsOnGrain: false,
        useWithinDays: 14,
        support: {},
      },
    ];
    const strains = [...farm.strains, { id: 'odd-one', name: 'Odd one', species: 'odd', rateFactor: 1 }];
    const engine = createEngine();
    engine.setFarm({ ...farm, species, strains });
    engine.setBatches([batchOf({ strain: 'odd-one' }), batchOf({ id: 'b2' })]);
    const { forecasts, problems } = engine.advance(at(3));
    expect(forecasts.map(({ batch }) => batch)).toEqual(['b2']);
    expect(problems.join()).toMatch(/Tm(in|ax)/);
  });
});

test('a look more than three of its errors off is said to be odd, and the next that fits ends that', () => {
  const looks: [number, number][] = [
    [5, 0.15],
    [6, 0.3],
    [7, 0.45],
  ];
  const noteAt = (more: [number, number][]) =>
    engineWith([batchOf({ checks: [...looks, ...more] })], () => 24)
      .advance(at(8))
      .forecasts[0]!.notes.join();
  expect(noteAt([[7.5, 0]])).toContain('look again');
  expect(noteAt([[7.5, 0.95]])).toContain('look again');
  expect(noteAt([[7.5, 0.55]])).not.toContain('look again');
  expect(
    noteAt([
      [7.5, 0.02],
      [7.7, 0.55],
    ]),
  ).not.toContain('look again');
});
