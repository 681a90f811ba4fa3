import { describe, expect, test } from 'vitest';
import { crossingOf } from '../../../alerts/conditions/crossing.ts';
import { notSoonMin, predictedPlan } from '../../../alerts/conditions/predicted.ts';
import { createUsual } from '../../../alerts/conditions/usual.ts';
import { hourMs, minuteMs } from '../../../shared/time.ts';
import { alarmSite } from '../../tools/alarm-site.ts';

describe('when a trend passes a limit', () => {
  const trend = { t: 0, value: 26, valueSe: 0.05, perH: 2, perHSe: 0.2 };
  test('a sure one: a little later than straight on, between its earliest and latest', () => {
    const { earliest, likely, latest } = crossingOf(trend, 'above', 28);
    expect(likely / minuteMs).toBeGreaterThan(60);
    expect(likely / minuteMs).toBeLessThan(80);
    expect(earliest).toBeLessThan(likely);
    expect(latest).toBeGreaterThan(likely);
  });
  test('downwards is the mirror of upwards', () => {
    const up = crossingOf(trend, 'above', 27);
    const down = crossingOf({ ...trend, value: 24, perH: -2 }, 'below', 23);
    for (const key of ['earliest', 'likely', 'latest'] as const) expect(down[key]).toBeCloseTo(up[key], 3);
  });
  test('one that will have slowed down before gets there never', () => {
    expect(crossingOf({ ...trend, perH: 0.3 }, 'above', 28).likely).toBe(Number.POSITIVE_INFINITY);
    expect(crossingOf({ ...trend, perH: -1 }, 'above', 28).likely).toBe(Number.POSITIVE_INFINITY);
  });
  test('a value beyond it is there now', () => expect(crossingOf(trend, 'above', 25).likely).toBe(0));
});

test('what is usual: unknown in the first half day, then the furthest hour but two, what is going on left out', () => {
  const usual = createUsual('above');
  const hour = (n: number, value: number) => usual.add(n * hourMs, value);
  for (let n = 0; n < 12; n += 1) hour(n, 25 + n / 100);
  expect(usual.at(12 * hourMs)).toBeNull();
  for (let n = 12; n < 20; n += 1) hour(n, 25 + n / 100);
  expect(usual.at(20 * hourMs)).toBeCloseTo(25.16, 6);
  const again = createUsual('above');
  again.keep.load(usual.keep.save());
  expect(again.at(20 * hourMs)).toBe(usual.at(20 * hourMs));
});

/** A day of a thermostat that swings between 24 and 25, then whatever `after` says, a reading a minute. */
function room(after: (minute: number) => number, minutes: number) {
  const signal = predictedPlan({
    ...({ channel: 'air', side: 'above', name: 'high', limitAt: () => 28 } as const),
  }).create();
  const said: number[] = [];
  for (let minute = -1440; minute < minutes; minute += 1) {
    const swing = 24.5 + 0.5 * Math.sin(minute / 5);
    const value = signal.read('air', minute * minuteMs, minute < 0 ? swing : after(minute));
    if (value !== null && minute >= 0) said.push(value);
    else if (value !== null) expect(value).toBe(notSoonMin);
  }
  return { said, signal };
}

describe('a limit foreseen', () => {
  test('a room that leaves its swings for good: the minutes shrink, and the words say from when to when', () => {
    const { said, signal } = room((minute) => 24.8 + (2.4 * minute) / 60, 30);
    const first = said.findIndex((minutes) => minutes < 75);
    expect(first).toBeGreaterThan(5);
    expect(first).toBeLessThan(25);
    expect(said.at(-1)).toBeLessThan(said[first]!);
    expect(signal.detail!()).toMatch(/^\d+-(\d+|later); 26\.0 °C now, 2\.\d °C\/h; by its trend$/);
    const outlook = signal.outlook!()!;
    expect(outlook.limit).toBe(28);
    expect(outlook.points[0]!.value.likely).toBeCloseTo(26, 1);
    for (const { value } of outlook.points)
      expect(value.low <= value.likely && value.likely <= value.high).toBe(true);
  });
  test('a room that turns: withdrawn', () => {
    const { said, signal } = room(
      (minute) => (minute < 25 ? 24.8 + minute / 25 : 25.8 - (minute - 25) / 25),
      45,
    );
    expect(Math.min(...said)).toBeLessThan(75);
    expect(said.at(-1)).toBe(notSoonMin);
    expect(signal.outlook!()).toBeNull();
  });
  test('a door that is open for some minutes: not for as long as its delay', () => {
    const { said } = room((minute) => (minute < 5 ? 24.8 + minute / 5 : 25.8 - (minute - 5) / 10), 25);
    expect(said.filter((minutes) => minutes < 60).length).toBeLessThan(6);
  });
});

test('the alarm says what is coming and when, ends by itself when the trend turns, and gives way to the limit', () => {
  const site = alarmSite();
  const warmAs = (value: number) => {
    site.run(60);
    for (const id of ['warm-air', 'a1', 'a2']) {
      const high = id === 'a2' ? value - 2 : value;
      site.say(`${id}.temperature`, high);
      if (id === 'warm-air') site.say('warm-air.humidity', 60 + (value % 1));
    }
  };
  for (let minute = 0; minute < 1440; minute += 1) warmAs(24.5 + 0.5 * Math.sin(minute / 5));
  expect(site.book.views()).toEqual([]);
  const id = 'predicted-high/warm-room.temperature';
  for (let minute = 0; minute < 24; minute += 1) warmAs(24.8 + (2.4 * minute) / 60);
  expect(site.book.view(id)).toMatchObject({ state: 'unacknowledged', priority: 2 });
  expect(site.book.view(id).title).toMatch(
    /^Warm room(, shelf A1)? will be too warm in about \d+ min \(\d+-(\d+|later); 25\.7 °C now, 2\.4 °C\/h; by its trend\)$/,
  );
  expect(site.book.detail('high/warm-room.temperature').prediction).toMatchObject({ limit: 28 });
  for (let minute = 0; minute < 22; minute += 1) warmAs(25.7 - (2.4 * minute) / 60);
  expect(site.state(id)).toBe('normal');
  expect(site.events(id)).toEqual(['raised', 'cleared']);
  for (let minute = 0; minute < 90; minute += 1) warmAs(24.8 + (2.4 * minute) / 60);
  expect(site.state('high/warm-room.temperature')).toBe('unacknowledged');
  expect(site.state(id)).toBe('suppressed');
}, 120_000);
