import { expect, test } from 'vitest';
import {
  judge,
  lookError,
  lookLikelihood,
  saysFullAt,
  saysNothingBelow,
  slipProbability,
  unknownEye,
} from '../../../shared/growth/look.ts';

test.each([0.001, 0.1, 0.5, 0.9, 0.99])('what may be said of a bag at %f adds up to one', (share) => {
  const steps = 20_000;
  const width = (saysFullAt - saysNothingBelow) / steps;
  let between = 0;
  for (let step = 0; step < steps; step++)
    between += lookLikelihood(saysNothingBelow + (step + 0.5) * width, share) * width;
  expect(lookLikelihood(0, share) + between + lookLikelihood(1, share)).toBeCloseTo(1, 3);
});

test('a wild look is put down to a slip, a fitting one is not', () => {
  expect(slipProbability(0.9, 0.3)).toBeGreaterThan(0.99);
  expect(slipProbability(0.35, 0.3)).toBeLessThan(0.05);
  expect(slipProbability(1, 0.4)).toBeGreaterThan(0.9);
});

test('a person judges with error, says full near the end and nothing at the start', () => {
  expect(judge(0.5, 0.9, 0.2, 1)).toBeCloseTo(0.5 + unknownEye.noise * lookError(0.5), 12);
  expect(judge(0.99, 0.9, 0.2, 0)).toBe(1);
  expect(judge(0.01, 0.9, 0.2, 0)).toBe(0);
  expect(judge(0.5, 0.01, 0.2, 1)).toBe(0.2);
});
