import { expect, test } from 'vitest';
import { drawsOf } from '../../../collector/forecast/seeded.ts';
import {
  judge,
  lookError,
  lookLikelihood,
  saysFullAt,
  saysNothingBelow,
  slipLikelihood,
  unknownEye,
} from '../../../shared/growth/look.ts';
import { normalCdf } from '../../../shared/stats/normal.ts';

test.each([0.001, 0.1, 0.5, 0.9, 0.99])('what may be said of a bag at %f adds up to one', (share) => {
  const steps = 20_000;
  const width = (saysFullAt - saysNothingBelow) / steps;
  let between = 0;
  for (let step = 0; step < steps; step++)
    between += lookLikelihood(saysNothingBelow + (step + 0.5) * width, share) * width;
  expect(lookLikelihood(0, share) + between + lookLikelihood(1, share)).toBeCloseTo(1, 3);
});

test('a wild look is put down to a slip, a fitting one is not', () => {
  const chance = (judged: number, share: number) => slipLikelihood(judged) / lookLikelihood(judged, share);
  expect(chance(0.9, 0.3)).toBeGreaterThan(0.99);
  expect(chance(0.35, 0.3)).toBeLessThan(0.05);
  expect(chance(1, 0.4)).toBeGreaterThan(0.9);
});

const shares = [0.001, 0.1, 0.5, 0.9, 0.96, 0.99];

test.each(shares)(
  'where 95 %% is called full, what may be said of a bag at %f adds up to one too',
  (share) => {
    const steps = 20_000;
    const width = (saysFullAt - saysNothingBelow) / steps;
    const likelihood = (judged: number) => lookLikelihood(judged, share, unknownEye, 0.7, 0.95);
    let between = 0;
    for (let step = 0; step < steps; step++)
      between += likelihood(saysNothingBelow + (step + 0.5) * width) * width;
    expect(likelihood(0) + between + likelihood(1)).toBeCloseTo(1, 3);
  },
);

test('a person judges with error, says full near the end and nothing at the start', () => {
  const above = normalCdf(1);
  const look = { slip: 0.9, full: 0.9, said: above };
  expect(judge(0.5, look)).toBeCloseTo(0.5 + unknownEye.noise * lookError(0.5), 9);
  expect(judge(0.999, { ...look, full: 0.5 })).toBe(1);
  expect(judge(0.01, { ...look, said: 0.5 })).toBe(0);
  expect(judge(0.5, { ...look, slip: 0.01, said: 0.2 })).toBe(0.2);
});

test('what is judged is distributed as its likelihood says', () => {
  const draws = drawsOf('looks');
  const eye = unknownEye;
  for (const share of [0.3, 0.93, 0.97]) {
    const looks = Array.from({ length: 20_000 }, () =>
      judge(share, { slip: draws.even(), full: draws.even(), said: draws.even() }, eye, 0.5, 0.95),
    );
    const full = looks.filter((one) => one === 1).length / looks.length;
    // Five standard deviations of the share of so many looks.
    const chance = lookLikelihood(1, share, eye, 0.5, 0.95);
    expect(Math.abs(full - chance)).toBeLessThan(5 * Math.sqrt((chance * (1 - chance)) / looks.length));
    const [from, to] = [0.88, 0.94];
    let expected = 0;
    for (let step = 0; step < 600; step++)
      expected += lookLikelihood(from + (step + 0.5) * 1e-4, share, eye, 0.5, 0.95) * 1e-4;
    const between = looks.filter((one) => one > from && one < to).length / looks.length;
    expect(Math.abs(between - expected)).toBeLessThan(
      5 * Math.sqrt((expected * (1 - expected)) / looks.length) + 1e-3,
    );
  }
});
