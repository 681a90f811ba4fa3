import { expect, it } from 'vitest';
import type { Container } from '../../../shared/farm/schema.ts';
import { firstArrivals, pointFields } from '../../../simulator/bag/arrivals.ts';
import { drawAnywhere, spaceOf } from '../../../simulator/bag/space.ts';
import { createRandom } from '../../../simulator/random.ts';

/**
 * Points strewn at random that all start at once: far from walls the covered share is
 * 1 - exp(-(4/3) pi N r^3) (Kolmogorov 1937; Johnson & Mehl 1939; Avrami 1940).
 */
it('covers a large space as the overlap of spheres does, away from its walls', () => {
  const edgeM = 0.9;
  const container: Container = {
    id: 'block',
    name: 'block',
    kind: 'block',
    shape: { form: 'brick', widthM: edgeM, depthM: edgeM, heightM: edgeM },
    massKg: 50,
    volumeL: 50,
    moisture: 0.5,
    shakeable: false,
  };
  const space = spaceOf(container);
  const random = createRandom(17);
  const count = 1_500;
  const points = new Float64Array(count * pointFields);
  for (let at = 0; at < points.length; at += pointFields) {
    drawAnywhere(space, random, points, at);
    points[at + 4] = 1;
  }
  const inner = [];
  const place = new Float64Array(3);
  while (inner.length < 3 * 4_000) {
    drawAnywhere(space, random, place, 0);
    if (Math.min(space.wallMm(place[0]!, place[1]!, place[2]!), space.heightMm - place[2]!) > 150)
      inner.push(...place);
  }
  const arrivals = firstArrivals(space, Float64Array.from(inner), points);
  const perMm3 = count / (edgeM * 1000) ** 3;
  for (const radiusMm of [25, 35, 45, 55, 65]) {
    const covered = arrivals.filter((way) => way <= radiusMm).length / arrivals.length;
    const expected = 1 - Math.exp(-(4 / 3) * Math.PI * perMm3 * radiusMm ** 3);
    expect(Math.abs(covered - expected)).toBeLessThan(0.04);
  }
});
