import { expect, test } from 'vitest';
import { unusableAge, useByAge } from '../../../shared/growth/ageing.ts';

test('a jar that fills in a week is used by 14 d and not poured from 21 d (common practice, no source)', () => {
  expect(useByAge(14, 6)).toBe(14);
  expect(unusableAge(14, 6)).toBe(21);
});

test('a slow bag keeps half the span after it is full', () => {
  expect(useByAge(14, 15)).toBe(22);
});
