import { expect, test } from 'vitest';
import { createStoreTrouble } from '../../../../collector/live/store-trouble.ts';

test('a trouble is told once, and its end only when both writers write again', () => {
  const told: (string | null)[] = [];
  const works = createStoreTrouble((problem) => told.push(problem));
  works('intake', null);
  works('tick', 'disk full');
  works('intake', 'disk full');
  works('tick', null);
  works('intake', null);
  expect(told).toEqual(['disk full', null]);
});
