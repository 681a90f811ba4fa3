import { describe, expect, it } from 'vitest';
import { curvatureOf, leastSquares, type Residuals, slopesOf } from '../../shared/stats/least-squares.ts';
import { invert } from '../../shared/stats/linear.ts';

// NIST/ITL Statistical Reference Datasets, nonlinear regression: certified parameters, their standard deviations
// and residual sums of squares, from both of NIST's starting points.

interface Dataset {
  name: string;
  pairs: readonly (readonly [x: number, y: number])[];
  model(b: readonly number[], x: number): number;
  starts: readonly (readonly number[])[];
  certified: readonly number[];
  deviations: readonly number[];
  squares: number;
}

const datasets: Dataset[] = [
  {
    // Misra 1978, dental research; lower level of difficulty.
    name: 'Misra1a',
    pairs: [
      [77.6, 10.07],
      [114.9, 14.73],
      [141.1, 17.94],
      [190.8, 23.93],
      [239.9, 29.61],
      [289, 35.18],
      [332.8, 40.02],
      [378.4, 44.82],
      [434.8, 50.76],
      [477.3, 55.05],
      [536.8, 61.01],
      [593.1, 66.4],
      [689.1, 75.47],
      [760, 81.78],
    ],
    model: ([b1, b2], x) => b1! * -Math.expm1(-b2! * x),
    starts: [
      [500, 0.0001],
      [250, 0.0005],
    ],
    certified: [2.3894212918e2, 5.5015643181e-4],
    deviations: [2.7070075241, 7.2668688436e-6],
    squares: 1.2455138894e-1,
  },
  {
    // Ratkowsky 1983, pasture yield, a sigmoidal growth curve; higher level of difficulty.
    name: 'Rat42',
    pairs: [
      [9, 8.93],
      [14, 10.8],
      [21, 18.59],
      [28, 22.33],
      [42, 39.35],
      [57, 56.11],
      [63, 61.73],
      [70, 64.62],
      [79, 67.08],
    ],
    model: ([b1, b2, b3], x) => b1! / (1 + Math.exp(b2! - b3! * x)),
    starts: [
      [100, 1, 0.1],
      [75, 2.5, 0.07],
    ],
    certified: [7.2462237576e1, 2.6180768402, 6.7359200066e-2],
    deviations: [1.7340283401, 8.8295217536e-2, 3.4465663377e-3],
    squares: 8.0565229338,
  },
];

describe.each(datasets)('NIST $name', ({ pairs, model, starts, certified, deviations, squares }) => {
  const residuals: Residuals = (b) => pairs.map(([x, y]) => model(b, x) - y);

  it.each(starts.map((start) => [start]))('from %j: certified parameters and sum of squares', (start) => {
    const found = leastSquares(residuals, start);
    expect(found.squares / squares).toBeCloseTo(1, 9);
    found.parameters.forEach((value, index) => {
      expect(value / certified[index]!).toBeCloseTo(1, 5);
    });
  });

  it('standard deviations of the parameters', () => {
    const inverse = invert(curvatureOf(slopesOf(residuals, certified)))!;
    const variance = squares / (pairs.length - certified.length);
    inverse.forEach((row, index) => {
      expect(Math.sqrt(row[index]! * variance) / deviations[index]!).toBeCloseTo(1, 5);
    });
  });
});
