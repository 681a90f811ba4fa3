import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type DegreeDayMethod, degreeDaySeries, degreeDays } from '../../shared/growth/degree-days.ts';
import { fitResponse } from '../../shared/growth/fit.ts';
import { curveFromMinMax } from '../../shared/growth/minmax.ts';
import { createResponse } from '../../shared/growth/response.ts';
import type { ResponseSpec } from '../../shared/growth/response-spec.ts';
import { hourMs } from '../../shared/time.ts';

const runs = { seed: 20_261, numRuns: 200 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** Valid specs of every form, with the temperatures of their minimum, optimum and maximum. */
const spec: fc.Arbitrary<{ spec: ResponseSpec; min: number; max: number }> = fc.oneof(
  fc.tuple(real(-5, 15), real(2, 15), real(0.5, 15)).map(([tMinC, fall, more]) => {
    const tOptC = tMinC + fall + more;
    return {
      spec: { form: 'cardinal' as const, tMinC, tOptC, tMaxC: tOptC + fall },
      min: tMinC,
      max: tOptC + fall,
    };
  }),
  fc.tuple(real(-5, 15), real(2, 25), real(1, 15)).map(([tMinC, rise, fall]) => {
    const tOptC = tMinC + rise;
    return {
      spec: { form: 'beta' as const, tMinC, tOptC, tMaxC: tOptC + fall },
      min: tMinC,
      max: tOptC + fall,
    };
  }),
  fc.tuple(real(0, 15), real(5, 30), real(0.3, 10)).map(([tMinC, span, exponent]) => ({
    spec: { form: 'briere2' as const, tMinC, tMaxC: tMinC + span, exponent },
    min: tMinC,
    max: tMinC + span,
  })),
  fc
    .tuple(real(-5, 15), real(2, 25), fc.constantFrom('vertical' as const, 'intermediate' as const))
    .map(([lowerC, span, cutoff]) => ({
      spec: { form: 'linear' as const, lowerC, upperC: lowerC + span, cutoff },
      min: lowerC,
      max: lowerC + 2 * span,
    })),
);

describe('temperature responses', () => {
  it('answer every temperature with a share, 0 outside their limits', () => {
    fc.assert(
      fc.property(spec, fc.double(), ({ spec: any, min, max }, tempC) => {
        const gamma = createResponse(any);
        for (const at of [tempC, -20, 60, Number.NaN, Infinity, -Infinity]) {
          expect(gamma(at)).toBeGreaterThanOrEqual(0);
          expect(gamma(at)).toBeLessThanOrEqual(1);
        }
        for (const at of [min, max, min - 1, max + 1, Number.NaN]) expect(gamma(at)).toBeLessThan(1e-9);
      }),
      runs,
    );
  });
  it('rise to one top of 1 and fall again', () => {
    fc.assert(
      fc.property(spec, ({ spec: any, min, max }) => {
        const gamma = createResponse(any);
        const at = Array.from({ length: 400 }, (_, index) => gamma(min + ((max - min) * index) / 400));
        const top = at.indexOf(Math.max(...at));
        expect(at[top]!).toBeGreaterThan(0.97);
        const rises = at.every(
          (value, index) => index === 0 || index > top || value >= at[index - 1]! - 1e-9,
        );
        const falls = at.every((value, index) => index <= top || value <= at[index - 1]! + 1e-9);
        expect({ rises, falls }).toEqual({ rises: true, falls: true });
      }),
      runs,
    );
  });
  it('refuse parameters that make no response, with the rule', () => {
    const refused: [ResponseSpec, RegExp][] = [
      [{ form: 'cardinal', tMinC: 5, tOptC: 20, tMaxC: 35 }, /needs \(Tmin \+ Tmax\) \/ 2 < Topt < Tmax/],
      [{ form: 'cardinal', tMinC: 5, tOptC: 36, tMaxC: 35 }, /found Tmin 5, Topt 36, Tmax 35/],
      [{ form: 'beta', tMinC: 25, tOptC: 20, tMaxC: 35 }, /Tmin < Topt < Tmax/],
      [{ form: 'briere1', tMinC: -1, tMaxC: 35 }, /0 <= Tmin < Tmax/],
      [{ form: 'briere2', tMinC: 5, tMaxC: 35, exponent: 0 }, /exponent/],
      [{ form: 'linear', lowerC: 20, upperC: 20, cutoff: 'vertical' }, /lower < upper/],
      [{ form: 'beta', tMinC: Number.NaN, tOptC: 20, tMaxC: 35 }, /found Tmin NaN/],
    ];
    for (const [any, words] of refused) expect(() => createResponse(any)).toThrow(words);
  });
});

describe('fit', () => {
  it('is never worse than the curve that made the table', () => {
    fc.assert(
      fc.property(
        real(3, 10),
        real(6, 11),
        real(6, 12),
        fc.array(real(-0.3, 0.3), { minLength: 9, maxLength: 9 }),
        (tMinC, fall, more, noise) => {
          const tOptC = tMinC + fall + more;
          const truth = createResponse({ form: 'cardinal', tMinC, tOptC, tMaxC: tOptC + fall });
          const rows = [6, 10, 14, 18, 22, 25, 28, 31, 34].map((tempC, index) => ({
            tempC,
            rate: Math.max(0, 4 * truth(tempC) + noise[index]!),
          }));
          const miss = rows.reduce((sum, { tempC, rate }) => sum + (rate - 4 * truth(tempC)) ** 2, 0);
          const fit = fitResponse(rows, 'cardinal');
          expect(fit.rmse).toBeLessThanOrEqual(Math.sqrt(miss / rows.length) * 1.000001 + 1e-5);
          // What it says of itself is what its curve does.
          const gamma = createResponse(fit.spec);
          const again = rows.reduce(
            (sum, { tempC, rate }) => sum + (rate - fit.rateAtOptimum * gamma(tempC)) ** 2,
            0,
          );
          expect(Math.sqrt(again / rows.length)).toBeCloseTo(fit.rmse, 9);
        },
      ),
      { ...runs, numRuns: 12 },
    );
  });
});

const methods: DegreeDayMethod[] = [
  'averaging',
  'single-sine',
  'double-sine',
  'single-triangle',
  'double-triangle',
];
const day = fc
  .tuple(real(-10, 40), real(0, 25), real(0, 25))
  .map(([min, swing, drop]) => ({ min, max: min + swing, nextMin: min + swing - drop }));
const thresholds = fc
  .tuple(real(0, 15), real(3, 20))
  .map(([lower, span]) => ({ lower, upper: lower + span }));

describe('degree-days', () => {
  it('0 <= vertical <= intermediate <= horizontal <= upper - lower', () => {
    fc.assert(
      fc.property(fc.constantFrom(...methods), day, thresholds, (method, extremes, limits) => {
        const [vertical, intermediate, horizontal] = (
          ['vertical', 'intermediate', 'horizontal'] as const
        ).map((cutoff) => degreeDays(extremes, { ...limits, method, cutoff })) as [number, number, number];
        expect(vertical).toBeGreaterThanOrEqual(-1e-9);
        expect(intermediate).toBeGreaterThanOrEqual(vertical - 1e-9);
        expect(horizontal).toBeGreaterThanOrEqual(intermediate - 1e-9);
        expect(horizontal).toBeLessThanOrEqual(limits.upper - limits.lower + 1e-9);
      }),
      runs,
    );
  });
  it('a day that stays between the thresholds counts its mean, whatever the method', () => {
    for (const method of methods)
      for (const cutoff of ['horizontal', 'vertical', 'intermediate'] as const)
        expect(
          degreeDays({ min: 12, max: 20, nextMin: 12 }, { lower: 10, upper: 25, method, cutoff }),
        ).toBeCloseTo(6, 12);
  });
  it('a warmer day counts no less (horizontal); double is single when the next night is alike', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...methods),
        day,
        thresholds,
        real(0, 5),
        (method, { min, max }, limits, more) => {
          const rule = { ...limits, method, cutoff: 'horizontal' } as const;
          const here = degreeDays({ min, max }, rule);
          expect(degreeDays({ min, max: max + more }, rule)).toBeGreaterThanOrEqual(here - 1e-9);
          if (method.startsWith('double')) {
            const single = method.replace('double', 'single') as DegreeDayMethod;
            expect(degreeDays({ min, max, nextMin: min }, rule)).toBeCloseTo(
              degreeDays({ min, max }, { ...rule, method: single }),
              9,
            );
          }
        },
      ),
      runs,
    );
  });
  it('Fahrenheit or Celsius: 1.8 times as many', () => {
    const fahrenheit = (tempC: number): number => tempC * 1.8 + 32;
    fc.assert(
      fc.property(fc.constantFrom(...methods), day, (method, { min, max, nextMin }) => {
        const inC = degreeDays(
          { min, max, nextMin },
          { lower: 10, upper: 25, method, cutoff: 'intermediate' },
        );
        const inF = degreeDays(
          { min: fahrenheit(min), max: fahrenheit(max), nextMin: fahrenheit(nextMin) },
          { lower: 50, upper: 77, method, cutoff: 'intermediate' },
        );
        expect(inF).toBeCloseTo(inC * 1.8, 8);
      }),
      runs,
    );
  });
  it('refuses thresholds and days that are upside down', () => {
    const rule = { lower: 10, upper: 25, method: 'double-sine', cutoff: 'vertical' } as const;
    expect(() => degreeDays({ min: 12, max: 10 }, rule)).toThrow(/minimum <= maximum/);
    expect(() => degreeDays({ min: 12, max: 20, nextMin: 21 }, rule)).toThrow(/next minimum 21/);
    expect(() => degreeDays({ min: 12, max: Number.NaN }, rule)).toThrow(/minimum <= maximum/);
    expect(() => degreeDays({ min: 1, max: 20 }, { ...rule, lower: 25 })).toThrow(/lower < upper/);
  });
  it('a series takes each next minimum from the next day, and a warm night as far as it goes', () => {
    const rule = { lower: 10, upper: 25, method: 'double-sine', cutoff: 'horizontal' } as const;
    const days = [
      { min: 8, max: 16 },
      { min: 18, max: 24 },
      { min: 12, max: 20 },
    ];
    expect(degreeDaySeries(days, rule)).toEqual([
      degreeDays({ min: 8, max: 16, nextMin: 16 }, rule),
      degreeDays({ min: 18, max: 24, nextMin: 12 }, rule),
      degreeDays({ min: 12, max: 20 }, rule),
    ]);
  });
});

describe('a day curve from minimum and maximum', () => {
  it('holds the degree-days of the double sine method between maxima', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(real(2, 18), real(6, 15)), { minLength: 3, maxLength: 3 }), (log) => {
        const dayMs = 24 * hourMs;
        const days = log.map(([minC, swing], index) => ({
          start: index * dayMs,
          minC,
          maxC: minC + 16 + swing,
        }));
        // Extremes half a day apart, so that each half wave takes as long as the method thinks.
        const curve = curveFromMinMax(days, { minHour: 6, maxHour: 18, stepMs: 60_000 });
        const [, second, third] = days;
        const from = second!.start + 6 * hourMs;
        const counted = curve
          .filter(({ t }) => t >= from && t < from + dayMs)
          .reduce((sum, { tempC }) => sum + Math.max(0, Math.min(25, tempC) - 10) / 1440, 0);
        const rule = { lower: 10, upper: 25, method: 'double-sine', cutoff: 'horizontal' } as const;
        const method = degreeDays({ min: second!.minC, max: second!.maxC, nextMin: third!.minC }, rule);
        expect(counted).toBeCloseTo(method, 1);
        expect(Math.abs(counted - method)).toBeLessThan(0.01);
      }),
      { ...runs, numRuns: 20 },
    );
  });
});
