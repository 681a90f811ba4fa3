import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { heldBySteps, holdMsOf, meansOfKnown } from '../../../shared/held-state.ts';

const span = { from: 0, stepMs: 60_000, steps: 6 };

describe('a state told at uneven times', () => {
  it('stays as told until the next message, and counts by its time within each step', () => {
    // On at 0:15, off at 1:30, on at 1:45, again at 3:00, off at 5:06.
    const told = {
      t: [15_000, 90_000, 105_000, 180_000, 306_000],
      value: [100, 0, 100, 100, 0],
    };
    // By hand: of the second minute 30 s and 15 s are on; of the last, 6 s.
    expect([...heldBySteps(told, span, 300_000)]).toEqual([100, 75, 100, 100, 100, 10]);
  });

  it('holds no longer than it may, and what is known of a step stands for it', () => {
    const told = { t: [-30_000, 150_000], value: [100, 0] };
    expect([...heldBySteps(told, span, 60_000)]).toEqual([100, Number.NaN, 0, 0, Number.NaN, Number.NaN]);
    expect([...heldBySteps(told, { ...span, until: 170_000 }, 60_000)]).toEqual([
      ...[100, Number.NaN, 0],
      ...[Number.NaN, Number.NaN, Number.NaN],
    ]);
    expect([...heldBySteps({ t: [], value: [] }, span, 60_000)].every(Number.isNaN)).toBe(true);
  });

  it('says what a walk through every second says, whatever was told when', () => {
    const messages = fc.uniqueArray(fc.integer({ min: -400, max: 500 }), { maxLength: 12 });
    fc.assert(
      fc.property(messages, fc.nat(), fc.integer({ min: 1, max: 300 }), (at, salt, holdS) => {
        const t = at.sort((one, other) => one - other).map((second) => second * 1_000);
        const value = t.map((_, told) => 100 * ((salt >> told) & 1));
        const shares = heldBySteps({ t, value }, span, holdS * 1_000);
        for (let step = 0; step < span.steps; step += 1) {
          const known = Array.from({ length: 60 }, (_, second) => step * 60_000 + second * 1_000).flatMap(
            (now) => {
              const last = t.findLastIndex((told) => told <= now);
              return last < 0 || now - t[last]! >= holdS * 1_000 ? [] : [value[last]!];
            },
          );
          if (known.length === 0) expect(shares[step]).toBeNaN();
          else expect(shares[step]).toBeCloseTo(known.reduce((sum, one) => sum + one, 0) / known.length, 9);
        }
      }),
      { seed: 61, numRuns: 300 },
    );
  });
});

it('of several the known ones are taken together', () => {
  const [one, other] = [Float64Array.of(100, Number.NaN, 0), Float64Array.of(0, Number.NaN, Number.NaN)];
  expect([...meansOfKnown([one, other], 3)]).toEqual([50, Number.NaN, 0]);
});

it('holds for two expected periods, a minute at least', () => {
  expect(holdMsOf(300)).toBe(600_000);
  expect(holdMsOf(10)).toBe(60_000);
});
