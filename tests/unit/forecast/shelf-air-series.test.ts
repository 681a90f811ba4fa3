import { describe, expect, test } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { stepMs } from '../../../collector/forecast/grid.ts';
import { shelfAirSeries } from '../../../shared/forecasts.ts';
import { dayMs } from '../../../shared/time.ts';
import { at, farm, readings } from './farm.ts';

/** Shelf A1 measured for two days, then only its room for two more, then nothing for one; 2 K between the two. */
function engineAfter(day: number) {
  const engine = createEngine();
  engine.setFarm(farm);
  const own = readings(0, 2, () => 24);
  const room = readings(0, 4, () => 22);
  engine.addReadings('on-a1.temperature', own.t, own.value);
  engine.addReadings('in-warm.temperature', room.t, room.value);
  engine.advance(at(day));
  return engine;
}
const airOf = (shelf: string, from: number, to: number, maxPoints = 2000) =>
  shelfAirSeries.parse(engineAfter(5).shelfAir({ shelf, from: at(from), to: at(to), maxPoints }));

describe('air at a shelf', () => {
  test('says how each part was obtained, and is less sure of each step down', () => {
    const { points } = airOf('A1', 0, 5);
    const on = (day: number) => points.find(({ t }) => t > at(day))!;
    expect(on(1)).toMatchObject({ source: 'measured', tempC: 24 });
    expect(on(3).source).toBe('neighbour');
    expect(on(3).tempC).toBeCloseTo(24, 6);
    expect(on(4.5).source).toBe('filled');
    expect(on(1).sdK).toBeLessThan(on(3).sdK);
    expect(on(3).sdK).toBeLessThan(on(4.5).sdK);
    // The gap grows less sure as it lasts.
    expect(on(4.1).sdK).toBeLessThan(on(4.9).sdK);
  });

  test('begins with the first reading, and nothing is made up before it', () => {
    const { points } = airOf('A1', -10, 1);
    expect(points[0]!.t).toBeGreaterThanOrEqual(at(0));
    expect(points[0]!.source).toBe('measured');
    expect(airOf('D1', 0, 5).points).toEqual([]);
  });

  test('keeps to about the points asked for, a point of several steps as sure as its least', () => {
    const series = airOf('A1', 0, 5, 20);
    expect(series.stepMs).toBe(72 * stepMs);
    expect(series.points.length).toBeLessThanOrEqual(21);
    // The first steps after the last reading still count as measured.
    const mixed = series.points.find(({ t }) => t > at(2))!;
    expect(mixed.source).toBe('neighbour');
  });

  test('looks ahead when asked to, expected and wider', () => {
    const { points, now } = airOf('A1', 4, 12);
    const ahead = points.filter(({ t }) => t > now);
    expect(ahead.every(({ source }) => source === 'filled')).toBe(true);
    expect(ahead.at(-1)!.t).toBeGreaterThan(now + 6 * dayMs);
    // No surer than what was filled just before, and less sure the further ahead.
    const filled = points.findLast(({ t }) => t < now)!;
    expect(ahead[0]!.sdK).toBeGreaterThan(0.99 * filled.sdK);
    expect(ahead.at(-1)!.sdK).toBeGreaterThan(ahead[0]!.sdK);
    expect(points.every(({ t }, index) => index === 0 || t > points[index - 1]!.t)).toBe(true);
  });

  test('is not there for a shelf that the farm does not have', () => {
    expect(engineAfter(5).shelfAir({ shelf: 'Z9', from: 0, to: 1, maxPoints: 9 })).toBeUndefined();
  });
});
