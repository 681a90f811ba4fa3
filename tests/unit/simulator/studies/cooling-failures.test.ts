import { describe, expect, it } from 'vitest';
import { minuteMs } from '../../../../shared/time.ts';
import {
  coolingFailures,
  normalWeeks,
  type RoomStretch,
} from '../../../../simulator/studies/cooling-failures.ts';

const failures = [...coolingFailures({ count: 8, seed: 3, daysBefore: 1 })];
const minuteOf = (stretch: RoomStretch, t: number) => (t - stretch.from) / minuteMs;

describe('cooling failures', () => {
  it('no two rooms are alike, and the same seed gives the same stretches', () => {
    expect(new Set(failures.map(({ limitC, failsAt }) => `${limitC} ${failsAt}`)).size).toBe(8);
    const [again] = coolingFailures({ count: 1, seed: 3, daysBefore: 1 });
    expect(again!.readings).toEqual(failures[0]!.readings);
    const [other] = coolingFailures({ count: 1, seed: 4, daysBefore: 1 });
    expect(other!.readings).not.toEqual(failures[0]!.readings);
  });

  it('keep within the limit up to the failure, some soon pass it, some slowly, some never', () => {
    for (const stretch of failures) {
      const before = stretch.trueAirC.subarray(0, minuteOf(stretch, stretch.failsAt!));
      expect(Math.max(...before)).toBeLessThan(stretch.limitC + 1);
      if (stretch.reachesLimitAt === null) continue;
      const from = minuteOf(stretch, stretch.reachesLimitAt);
      expect(Math.min(...stretch.trueAirC.subarray(from, from + 10))).toBeGreaterThan(stretch.limitC);
      expect(stretch.reachesLimitAt).toBeGreaterThanOrEqual(stretch.failsAt!);
    }
    const took = [...coolingFailures({ count: 12, seed: 1, daysBefore: 1 })].map(
      ({ reachesLimitAt, failsAt }) => (reachesLimitAt === null ? Infinity : reachesLimitAt - failsAt!),
    );
    expect(took.some((ms) => ms < 40 * minuteMs)).toBe(true);
    expect(took.some((ms) => ms > 90 * minuteMs && ms < Infinity)).toBe(true);
    expect(took).toContain(Infinity);
  });

  it('are told by three sensors about once a minute, in order, near the truth', () => {
    const { readings, trueAirC, farm, from, until } = failures[0]!;
    const channels = new Set(farm.sensors.map(({ id }) => `${id}.temperature`));
    expect(new Set(readings.map(({ channel }) => channel))).toEqual(channels);
    const times = readings.map(({ t }) => t);
    expect(times).toEqual([...times].sort((a, b) => a - b));
    const minutes = (until - from) / minuteMs;
    const air = readings.filter(({ channel }) => channel === 'air.temperature');
    expect(air.length).toBeGreaterThan(0.9 * minutes);
    expect(air.length).toBeLessThanOrEqual(minutes + 1);
    const errors = air.map(({ t, tempC }) => Math.abs(tempC - trueAirC[Math.floor((t - from) / minuteMs)]!));
    expect(errors.reduce((sum, error) => sum + error, 0) / errors.length).toBeLessThan(1);
  });
});

it('in a normal week nothing passes the limit, though doors and weather move the air', () => {
  for (const week of normalWeeks({ count: 2, seed: 5 })) {
    expect(week.until - week.from).toBe(7 * 24 * 60 * minuteMs);
    expect(week.failsAt).toBeNull();
    expect(Math.max(...week.trueAirC)).toBeLessThanOrEqual(week.limitC);
    expect(Math.max(...week.trueAirC) - Math.min(...week.trueAirC)).toBeGreaterThan(1);
  }
});
