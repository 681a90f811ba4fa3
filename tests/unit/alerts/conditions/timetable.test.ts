import { expect, test } from 'vitest';
import { createLocalTime, inSpan } from '../../../../alerts/conditions/timetable.ts';

const london = createLocalTime('Europe/London');
const at = (text: string) => london(Date.parse(text));

test('local time follows the zone through both changes of the clock', () => {
  // 2026-03-29: 01:00 GMT becomes 02:00 BST. 2026-10-25: 02:00 BST becomes 01:00 GMT.
  expect(at('2026-03-29T00:59:00Z')).toEqual({ day: 6, minute: 59 });
  expect(at('2026-03-29T01:00:00Z')).toEqual({ day: 6, minute: 120 });
  expect(at('2026-10-25T00:30:00Z')).toEqual({ day: 6, minute: 90 });
  expect(at('2026-10-25T01:30:00Z')).toEqual({ day: 6, minute: 90 });
});

test('a span begins at from and ends before to, on its days', () => {
  const span = { days: ['tue' as const], from: '13:00', to: '19:00' };
  expect(inSpan(span, { day: 1, minute: 13 * 60 - 1 })).toBe(false);
  expect(inSpan(span, { day: 1, minute: 13 * 60 })).toBe(true);
  expect(inSpan(span, { day: 1, minute: 19 * 60 - 1 })).toBe(true);
  expect(inSpan(span, { day: 1, minute: 19 * 60 })).toBe(false);
  expect(inSpan(span, { day: 2, minute: 14 * 60 })).toBe(false);
});

test('a span past midnight belongs to the day on which it began', () => {
  const span = { days: ['sun' as const], from: '22:00', to: '06:00' };
  expect(inSpan(span, { day: 6, minute: 23 * 60 })).toBe(true);
  expect(inSpan(span, { day: 0, minute: 5 * 60 })).toBe(true);
  expect(inSpan(span, { day: 6, minute: 5 * 60 })).toBe(false);
  expect(inSpan(span, { day: 0, minute: 23 * 60 })).toBe(false);
});

test('24:00 is the end of the day', () => {
  expect(inSpan({ from: '20:00', to: '24:00' }, { day: 3, minute: 24 * 60 - 1 })).toBe(true);
  expect(inSpan({ from: '20:00', to: '24:00' }, { day: 3, minute: 0 })).toBe(false);
});
