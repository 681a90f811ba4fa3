import { expect, test } from 'vitest';
import { createLocalHour } from '../../../shared/local-hour.ts';
import { hourMs, minuteMs } from '../../../shared/time.ts';

test('hours of the day follow the zone across both changes of the clock', () => {
  const hour = createLocalHour('Europe/London');
  expect(hour(Date.UTC(2026, 0, 5, 14, 30))).toBe(14.5);
  expect(hour(Date.UTC(2026, 6, 5, 14, 30))).toBe(15.5);
  // 29 March 2026, 01:00 UTC: 01:00 becomes 02:00. 25 October 2026, 01:00 UTC: 02:00 becomes 01:00.
  const spring = Date.UTC(2026, 2, 29, 1);
  expect([hour(spring - minuteMs), hour(spring)].map((value) => Math.round(value * 60))).toEqual([59, 120]);
  const autumn = Date.UTC(2026, 9, 25, 1);
  expect([hour(autumn - minuteMs), hour(autumn)].map((value) => Math.round(value * 60))).toEqual([119, 60]);
});

test('zones with quarters of an hour and before 1970 are in range too', () => {
  const hour = createLocalHour('Asia/Kathmandu');
  expect(hour(Date.UTC(2026, 5, 1, 12))).toBeCloseTo(17.75, 9);
  for (let t = -hourMs; t < 3 * hourMs; t += 7 * minuteMs) {
    expect(hour(t)).toBeGreaterThanOrEqual(0);
    expect(hour(t)).toBeLessThan(24);
  }
  expect(() => createLocalHour('Nowhere/Else')).toThrow(RangeError);
});
