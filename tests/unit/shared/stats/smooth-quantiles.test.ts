import { describe, expect, it } from 'vitest';
import { normalQuantile } from '../../../../shared/stats/normal.ts';
import { smoothQuantiles } from '../../../../shared/stats/smooth-quantiles.ts';

describe('quantiles that run smoothly', () => {
  it('weigh order statistics by a beta distribution (Harrell & Davis 1982)', () => {
    // Four values at 0.4: shapes 2 and 3, whose distribution is 6 x^2 - 8 x^3 + 3 x^4 by hand.
    const beta = (x: number): number => 6 * x ** 2 - 8 * x ** 3 + 3 * x ** 4;
    const [found] = smoothQuantiles(Float64Array.of(3, 1, 4, 2), [0.4]);
    const byHand = [0, 1, 2, 3].reduce(
      (sum, place) => sum + (place + 1) * (beta((place + 1) / 4) - beta(place / 4)),
      0,
    );
    expect(found).toBeCloseTo(byHand, 5);
  });
  it('of an even sample are those of what it was drawn from', () => {
    const sample = Float64Array.from({ length: 1000 }, (_, index) => normalQuantile((index + 0.5) / 1000));
    const [low, middle, high] = smoothQuantiles(sample, [0.1, 0.5, 0.9]);
    expect(low).toBeCloseTo(-1.2816, 2);
    expect(middle).toBeCloseTo(0, 9);
    expect(high).toBeCloseTo(1.2816, 2);
  });
  it('move a little when one value moves a little, and do not alter the sample', () => {
    const sample = Float64Array.from({ length: 32 }, (_, index) => (index * 7) % 32);
    const kept = sample.slice();
    const [before] = smoothQuantiles(sample, [0.1]);
    expect(sample).toEqual(kept);
    // One of the lowest passes its neighbour.
    const [after] = smoothQuantiles(
      sample.map((value) => (value === 3 ? 4.2 : value)),
      [0.1],
    );
    expect(after! - before!).toBeGreaterThan(0);
    expect(after! - before!).toBeLessThan(0.4);
  });
  it('refuse a sample too small for what is asked', () => {
    expect(() => smoothQuantiles(Float64Array.of(1, 2, 3), [0.5])).toThrow(/number of values is 3/);
    expect(() => smoothQuantiles(new Float64Array(4), [0.1])).toThrow(/share is 0.1/);
  });
});
