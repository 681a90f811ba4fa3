import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { Container } from '../../../shared/farm/schema.ts';
import { firstArrivals, pointFields } from '../../../simulator/bag/arrivals.ts';
import { drawAnywhere, spaceOf } from '../../../simulator/bag/space.ts';
import { createRandom } from '../../../simulator/random.ts';

const container = (form: 'cylinder' | 'brick'): Container => ({
  id: 'any',
  name: 'any',
  kind: 'bag',
  shape:
    form === 'cylinder'
      ? { form, diameterM: 0.14, heightM: 0.22 }
      : { form, widthM: 0.2, depthM: 0.07, heightM: 0.11 },
  massKg: 2,
  volumeL: 3,
  moisture: 0.5,
  shakeable: true,
});

it('finds the same first arrival as looking at every point', () => {
  const form = fc.constantFrom('cylinder' as const, 'brick' as const);
  const counts = fc.integer({ min: 1, max: 300 });
  fc.assert(
    fc.property(
      form,
      fc.integer(),
      counts,
      fc.double({ min: 0.3, max: 1, noNaN: true }),
      (f, seed, n, weak) => {
        const space = spaceOf(container(f));
        const random = createRandom(seed);
        const places = new Float64Array(3 * 60);
        for (let i = 0; i < 60; i += 1) drawAnywhere(space, random, places, 3 * i);
        const points = new Float64Array(pointFields * n);
        for (let i = 0; i < n; i += 1) {
          drawAnywhere(space, random, points, pointFields * i);
          points[pointFields * i + 3] = random.exponential(4);
          points[pointFields * i + 4] = random.between(weak, 1.4);
        }
        const found = firstArrivals(space, places, points);
        for (let i = 0; i < 60; i += 1) {
          let best = Number.POSITIVE_INFINITY;
          for (let at = 0; at < points.length; at += pointFields) {
            const gap = Math.hypot(
              places[3 * i]! - points[at]!,
              places[3 * i + 1]! - points[at + 1]!,
              places[3 * i + 2]! - points[at + 2]!,
            );
            best = Math.min(best, points[at + 3]! + points[at + 4]! * gap);
          }
          expect(found[i]).toBe(Math.fround(best));
        }
      },
    ),
    { numRuns: 60, seed: 4 },
  );
});

it('says never where there is no point', () => {
  const space = spaceOf(container('cylinder'));
  expect(firstArrivals(space, new Float64Array(6), new Float64Array(0))).toEqual(
    new Float32Array([Infinity, Infinity]),
  );
});
