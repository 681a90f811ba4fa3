import { describe, expect, test } from 'vitest';
import { createHours } from '../../../../alerts/delivery/hours.ts';
import type { Person } from '../../../../shared/farm/people-schema.ts';

const chicago = createHours('America/Chicago');
const at = (iso: string) => Date.parse(iso);
const who = (change: Partial<Person>): Person => ({ id: 'rowan', name: 'Rowan', ...change });
const nights = who({ quiet: [{ from: '22:00', to: '06:00' }] });

test('without hours a person is always on call and never quiet', () => {
  expect(chicago.isOnCall(who({}), at('2026-05-04T03:00-05:00'))).toBe(true);
  expect(chicago.quietUntil(who({}), at('2026-05-04T03:00-05:00'))).toBeNull();
});

test('on-call hours are on the clock of the site', () => {
  const rowan = who({ onCall: [{ days: ['mon', 'tue'], from: '06:00', to: '18:00' }] });
  expect(chicago.isOnCall(rowan, at('2026-05-04T05:59-05:00'))).toBe(false);
  expect(chicago.isOnCall(rowan, at('2026-05-04T06:00-05:00'))).toBe(true);
  expect(chicago.isOnCall(rowan, at('2026-05-04T18:00-05:00'))).toBe(false);
  expect(chicago.isOnCall(rowan, at('2026-05-06T12:00-05:00'))).toBe(false);
});

describe('quiet hours end when the clock on the wall says so', () => {
  test.each([
    ['an ordinary night', '2026-05-04T23:10-05:00', '2026-05-05T06:00-05:00'],
    ['after midnight', '2026-05-05T00:00-05:00', '2026-05-05T06:00-05:00'],
    ['the night that loses an hour', '2026-03-07T22:30-06:00', '2026-03-08T06:00-05:00'],
    ['within it, before the change', '2026-03-08T01:59-06:00', '2026-03-08T06:00-05:00'],
    ['the night that has an hour twice', '2026-10-31T22:30-05:00', '2026-11-01T06:00-06:00'],
    ['within it, the first time', '2026-11-01T01:30-05:00', '2026-11-01T06:00-06:00'],
    ['within it, the second time', '2026-11-01T01:30-06:00', '2026-11-01T06:00-06:00'],
  ])('%s', (_, from, until) => {
    expect(new Date(chicago.quietUntil(nights, at(from))!).toISOString()).toBe(
      new Date(at(until)).toISOString(),
    );
  });

  test('an end that the clock skips comes when the skipped hour is over', () => {
    const short = who({ quiet: [{ from: '00:30', to: '02:30' }] });
    const end = chicago.quietUntil(short, at('2026-03-08T01:00-06:00'))!;
    expect(new Date(end).toISOString()).toBe(new Date(at('2026-03-08T03:00-05:00')).toISOString());
  });

  test('spans that meet are one', () => {
    const long = who({
      quiet: [
        { from: '20:00', to: '24:00' },
        { from: '00:00', to: '06:00' },
      ],
    });
    expect(chicago.quietUntil(long, at('2026-05-04T21:00-05:00'))).toBe(at('2026-05-05T06:00-05:00'));
  });

  test('outside there is no end', () => {
    expect(chicago.quietUntil(nights, at('2026-05-04T12:00-05:00'))).toBeNull();
    expect(chicago.quietUntil(nights, at('2026-05-05T06:00-05:00'))).toBeNull();
  });
});
