import { expect, test } from 'vitest';
import { movedByWild } from '../../tools/calibrate.ts';

test('one look in ten being wild moves the likely day by less than half a day', { timeout: 180_000 }, () => {
  const days = [3, 4, 5, 6, 7, 8, 9, 10, 11, 12];
  const moved = Array.from({ length: 20 }, (_, i) => movedByWild(`wild ${i}`, days));
  expect(moved.reduce((sum, one) => sum + one, 0) / moved.length).toBeLessThan(0.5);
  expect([...moved].sort((a, b) => a - b)[Math.floor(moved.length / 2)]!).toBeLessThan(0.5);
});
