import { describe, expect, test } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { stepMs } from '../../../collector/forecast/grid.ts';
import { cohortCurve, cohortForecast } from '../../../shared/forecasts.ts';
import { briere1 } from '../../../shared/growth/response.ts';
import type { ResponseSpec } from '../../../shared/growth/response-spec.ts';
import { at, batchOf, dayOf, engineWith, farm, readings, wellKnown } from './farm.ts';

const steady = () => 24;
const only = <T>(list: readonly T[]): T => {
  expect(list).toHaveLength(1);
  return list[0]!;
};

describe('an engine', () => {
  test('gives each standing cohort one forecast that fits the contract', () => {
    const engine = engineWith([batchOf(), batchOf({ id: 'b2', madeDay: 2 })], steady);
    const { forecasts, ended, problems } = engine.advance(at(5));
    expect(forecasts.map((one) => one.cohort)).toEqual(['b1/1', 'b2/1']);
    for (const one of forecasts) expect(() => cohortForecast.parse(one)).not.toThrow();
    expect(ended).toEqual([]);
    expect(problems).toEqual([]);
  });

  test('says nothing new until the next step of the grid', () => {
    const engine = engineWith([batchOf()], steady);
    expect(engine.advance(at(5)).forecasts).toHaveLength(1);
    expect(engine.advance(at(5) + 60_000).forecasts).toHaveLength(0);
    expect(engine.advance(at(5) + stepMs).forecasts).toHaveLength(1);
  });

  test('names cohorts that are no more, once', () => {
    const engine = engineWith([batchOf()], steady);
    engine.advance(at(5));
    engine.setBatches([{ ...batchOf(), cohorts: [], endedAt: at(5) }]);
    expect(engine.advance(at(5) + stepMs).ended).toEqual(['b1/1']);
    expect(engine.advance(at(5) + 2 * stepMs).ended).toEqual([]);
  });

  test('a whole list leaves out what it does not name', () => {
    const engine = engineWith([batchOf(), batchOf({ id: 'b2' })], steady);
    engine.advance(at(1));
    engine.setBatches([batchOf({ id: 'b2' })], true);
    expect(engine.advance(at(2)).ended).toEqual(['b1/1']);
  });

  test('a batch of a strain that the farm file lacks is told as a problem and stops no other', () => {
    const engine = engineWith([batchOf({ id: 'b2', strain: 'gone' }), batchOf()], steady);
    const { forecasts, problems } = engine.advance(at(1));
    expect(only(forecasts).cohort).toBe('b1/1');
    expect(only(problems)).toContain("no strain 'gone'");
  });

  test('a batch made later than now has no forecast yet', () => {
    const engine = engineWith([batchOf({ madeDay: 3 })], steady);
    expect(engine.advance(at(2)).forecasts).toHaveLength(0);
    expect(engine.advance(at(3)).forecasts).toHaveLength(1);
  });

  test('a curve runs from inoculation through now to past ready, and fits the contract', () => {
    const engine = engineWith([batchOf({ shakes: [7] })], steady);
    // Its turn has come by the end of the step, whichever minute it is at.
    engine.advance(at(9) + stepMs - 1);
    const curve = cohortCurve.parse(engine.curve('b1/1'));
    expect(curve.points[0]!.t).toBe(at(0));
    expect(curve.points.some((point) => point.t === at(9))).toBe(true);
    expect(curve.points.at(-1)!.share.low).toBeGreaterThan(0.95);
    expect(engine.curve('nothing')).toBeUndefined();
  });

  test('a curve has the heat so far that fades, as the forecast of now has it', () => {
    const hot = (day: number) => (day >= 4 && day < 4.5 ? 40 : 24);
    const engine = engineWith([batchOf()], hot);
    const [forecast] = engine.advance(at(6) + stepMs - 1).forecasts;
    const { points } = engine.curve('b1/1')!;
    const heatAt = (days: number) => points.find(({ t }) => t === at(days))!.recentHours!;
    expect(heatAt(3)).toBe(0);
    expect(heatAt(5)).toBeGreaterThan(heatAt(6));
    expect(heatAt(6)).toBeCloseTo(forecast!.heat.recentHours, 2);
    expect(points.at(-1)!.recentHours).toBeNull();
  });
});

describe('where the air is not measured', () => {
  test('a shelf that only the room knows is forecast from it, marked and wider', () => {
    const engine = engineWith([batchOf(), batchOf({ id: 'b2', shelf: 'A2' })], steady);
    const { t, value } = readings(0, 5, steady);
    engine.addReadings('in-warm.temperature', t, value);
    engine.setBeliefs(wellKnown);
    const [measured, neighbour] = engine.advance(at(5)).forecasts;
    expect(measured!.air).toBe('measured');
    expect(neighbour!.air).toBe('neighbour');
    const width = (one: typeof measured) => one!.ready.at!.latest - one!.ready.at!.earliest;
    expect(width(neighbour)).toBeGreaterThan(width(measured));
  });

  test('a room without any sensor gets a wide, marked forecast, not none', () => {
    const engine = engineWith([batchOf(), batchOf({ id: 'b2', shelf: 'D1' })], steady);
    const [measured, guessed] = engine.advance(at(4)).forecasts;
    expect(guessed!.air).toBe('filled');
    expect(guessed!.notes.join()).toContain('guessed');
    const width = (one: typeof measured) => one!.ready.at!.latest - one!.ready.at!.earliest;
    expect(width(guessed)).toBeGreaterThan(1.2 * width(measured));
  });

  test('bags that are not placed are forecast as if nothing were known of their air', () => {
    const engine = createEngine();
    engine.setFarm(farm);
    engine.setBatches([batchOf({ shelf: null })]);
    const forecast = only(engine.advance(at(2)).forecasts);
    expect(forecast.shelf).toBeNull();
    expect(forecast.air).toBe('filled');
    expect(forecast.ready.at).not.toBeNull();
  });
});

describe('a response of its own', () => {
  test.each<[string, ResponseSpec, number]>([
    ['beta', { form: 'beta', tMinC: 5, tOptC: 24, tMaxC: 33 }, 1],
    ['Briere', { form: 'briere1', tMinC: 8, tMaxC: 36 }, briere1(8, 36)(24)],
    ['linear', { form: 'linear', lowerC: 8, upperC: 28, cutoff: 'horizontal' }, 0.8],
  ])('%s: a strain is forecast with it, not with its species', (_, response, perDay) => {
    const engine = createEngine();
    const [oyster, ...rest] = farm.strains;
    engine.setFarm({ ...farm, strains: [{ ...oyster!, response }, ...rest] });
    const { t, value } = readings(-3, 10, steady);
    engine.addReadings('on-a1.temperature', t, value);
    engine.setBatches([batchOf()]);
    const { thermalDays } = only(engine.advance(at(1)).forecasts);
    // Little heat of its own on the first day: the core is the air, give or take what the spread bends.
    expect(Math.abs(thermalDays - perDay)).toBeLessThan(0.02);
  });
});

describe('hard air', () => {
  test('60 °C leaves no NaN, no negative number and no date behind now', () => {
    const engine = engineWith([batchOf()], (day) => (day < 4 ? 24 : 60));
    for (const day of [3, 4, 5, 9]) {
      const forecast = only(engine.advance(at(day)).forecasts);
      expect(JSON.stringify(forecast)).not.toContain('NaN');
      expect(forecast.share.low).toBeGreaterThanOrEqual(0);
      if (forecast.ready.at !== null) expect(forecast.ready.at.earliest).toBeGreaterThanOrEqual(at(day));
      if (day >= 5) expect(forecast.marks).toContain('ran-hot');
      const { equivalentHours, recentHours, perHour } = forecast.heat;
      expect(perHour > 0).toBe(day >= 4.5);
      expect(recentHours > 0).toBe(day >= 4.5);
      // What is remembered fades while more comes in.
      expect(recentHours).toBeLessThanOrEqual(equivalentHours);
    }
  });

  test('where it is too cold to grow the batch is said to be stalled', () => {
    const forecast = only(engineWith([batchOf()], () => 4).advance(at(6)).forecasts);
    expect(forecast.ready).toEqual({ state: 'stalled', at: null, seen: false });
    expect(forecast.marks).toContain('look');
  });
});

describe('looks', () => {
  test('full seen at a look is an interval since the look before, never an instant', () => {
    const engine = engineWith(
      [
        batchOf({
          checks: [
            [11, 0.9],
            [14, 1],
          ],
        }),
      ],
      steady,
    );
    const { ready } = only(engine.advance(at(15)).forecasts);
    expect(ready.seen).toBe(true);
    const { earliest, likely, latest } = ready.at!;
    expect(dayOf(earliest)).toBeGreaterThan(11);
    expect(earliest).toBeLessThan(likely);
    expect(likely).toBeLessThan(latest);
    expect(dayOf(latest)).toBeLessThan(14);
  });

  test('a look narrows the interval and moves it the right way', () => {
    const before = only(engineWith([batchOf()], steady).advance(at(7)).forecasts).ready.at!;
    const quick = only(engineWith([batchOf({ checks: [[7, 0.8]] })], steady).advance(at(7)).forecasts).ready
      .at!;
    const slow = only(engineWith([batchOf({ checks: [[7, 0.1]] })], steady).advance(at(7)).forecasts).ready
      .at!;
    expect(quick.likely).toBeLessThan(before.likely);
    expect(slow.likely).toBeGreaterThan(before.likely);
    expect(quick.latest - quick.earliest).toBeLessThan(before.latest - before.earliest);
  });

  test('a look that cannot be is said to be odd and moves little', () => {
    const looks: [number, number][] = [
      [5, 0.15],
      [6, 0.25],
      [7, 0.4],
    ];
    const good = only(engineWith([batchOf({ checks: looks })], steady).advance(at(8)).forecasts);
    const odd = only(
      engineWith([batchOf({ checks: [...looks, [7.5, 0.02]] })], steady).advance(at(8)).forecasts,
    );
    expect(odd.marks).toContain('look');
    expect(odd.notes.join()).toContain('look again');
    expect(Math.abs(dayOf(odd.ready.at!.likely) - dayOf(good.ready.at!.likely))).toBeLessThan(0.5);
  });
});
