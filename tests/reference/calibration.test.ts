import { expect, test } from 'vitest';
import { normalCdf } from '../../shared/stats/normal.ts';
import { calibration } from '../tools/calibrate.ts';
import { chiSquareTail } from '../tools/chi-square.ts';

/** Values from any table of the chi-square distribution (Abramowitz & Stegun, table 26.8). */
test.each([
  [3.841459, 1, 0.05],
  [11.34487, 3, 0.01],
  [30.14353, 19, 0.05],
  [36.19087, 19, 0.01],
])('a chi-square of %f with %i degrees of freedom has a tail of %f', (statistic, freedom, tail) => {
  expect(chiSquareTail(statistic, freedom)).toBeCloseTo(tail, 6);
  expect(normalCdf(0)).toBe(0.5);
});

/**
 * Simulation-based calibration (Talts et al. 2018, arXiv:1804.06788): truths from the prior, looks simulated, then
 * the truth's rank in the posterior is even. A small study here; `npm run bench -- calibration` is the whole one.
 */
test('posterior ranks are even', { timeout: 180_000 }, () => {
  for (const { quantity, p } of calibration(90, 6)) expect(p, quantity).toBeGreaterThan(0.01);
});
