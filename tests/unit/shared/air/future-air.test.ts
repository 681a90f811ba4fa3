import { describe, expect, it } from 'vitest';
import {
  type DayProfile,
  forecastAir,
  learnHour,
  newDayProfile,
} from '../../../../shared/air/day-profile.ts';
import { futureAir, pathAirC } from '../../../../shared/air/future-air.ts';
import { hourMs } from '../../../../shared/time.ts';
import { at, roomHours, type TestRoom, westOffset } from './room.ts';

const room: TestRoom = { slowK: 0.8, fastK: 0.6, slowHours: 120, fastPerHour: 0.7, hours: 24 * 30, seed: 3 };
const learned = (history: readonly number[]): DayProfile =>
  history.reduce(
    (profile, tempC, hour) => learnHour(profile, { t: at(hour), tempC }, westOffset),
    newDayProfile(),
  );
const profile = learned(roomHours(room));
const from = at(24 * 30);
const ask = { profile, from, offset: westOffset, hours: 240, paths: 400, seed: 11 };

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
const sd = (values: readonly number[]): number =>
  Math.sqrt(mean(values.map((value) => (value - mean(values)) ** 2)));

describe('future air', () => {
  const future = futureAir(ask);
  const column = (hour: number): number[] =>
    Array.from({ length: ask.paths }, (_, path) => future.tempC[path * ask.hours + hour]!);

  it('same question, same bytes; another seed, another future', () => {
    expect(futureAir(ask).tempC).toEqual(future.tempC);
    expect(futureAir({ ...ask, seed: 12 }).tempC).not.toEqual(future.tempC);
  });

  it('has the mean and the spread of the forecast, hour by hour', () => {
    for (const hour of [0, 1, 5, 24, 100, 239]) {
      const { meanC, sdC } = forecastAir(profile, future.firstT + hour * hourMs, westOffset);
      // Mirrored pairs have the mean exactly.
      expect(mean(column(hour))).toBeCloseTo(meanC, 9);
      expect(sd(column(hour)) / sdC).toBeGreaterThan(0.85);
      expect(sd(column(hour)) / sdC).toBeLessThan(1.15);
    }
  });

  it('hours go together: the mean of ten days is as unsure as ten days have been', () => {
    const errors: number[] = [];
    const spreads: number[] = [];
    for (let seed = 20; seed < 60; seed++) {
      const history = roomHours({ ...room, seed, hours: 24 * 40 });
      const paths = futureAir({ ...ask, profile: learned(history.slice(0, 24 * 30)), paths: 60, seed });
      const means = Array.from({ length: 60 }, (_, path) =>
        mean(Array.from(paths.tempC.slice(path * 240, path * 240 + 240))),
      );
      errors.push(mean(history.slice(24 * 30)) - mean(means));
      spreads.push(sd(means));
    }
    const ratio = Math.sqrt(mean(errors.map((error) => error ** 2))) / mean(spreads);
    expect(ratio).toBeGreaterThan(0.7);
    expect(ratio).toBeLessThan(1.4);
    // One number per hour drawn anew would say 15 times less.
    expect(mean(spreads)).toBeGreaterThan(0.3);
  });

  it('reads straight between hours and holds its ends', () => {
    const a = pathAirC(future, 7, future.firstT + 3 * hourMs);
    const b = pathAirC(future, 7, future.firstT + 4 * hourMs);
    expect(pathAirC(future, 7, future.firstT + 3.25 * hourMs)).toBeCloseTo(a + (b - a) / 4, 9);
    expect(pathAirC(future, 7, from - 5 * hourMs)).toBe(future.tempC[7 * 240]);
    expect(pathAirC(future, 7, from + 1000 * hourMs)).toBe(future.tempC[7 * 240 + 239]);
  });

  it('stays possible even for a room that was never measured or stands at 60 degC', () => {
    const hot = learnHour(profile, { t: from, tempC: 60 }, westOffset);
    for (const any of [newDayProfile(), newDayProfile({ meanC: 60, sdC: 30 }), hot]) {
      const { tempC } = futureAir({ ...ask, profile: any, paths: 101 });
      for (const value of tempC) if (!(value >= -30 && value <= 70)) expect(value).toBe('possible');
      expect(tempC.length).toBe(101 * 240);
    }
  });

  it('refuses sizes that cannot be', () => {
    expect(() => futureAir({ ...ask, paths: 0 })).toThrow(/paths of future air is 0/);
    expect(() => futureAir({ ...ask, hours: Number.NaN })).toThrow(/hours of future air is NaN/);
  });
});
