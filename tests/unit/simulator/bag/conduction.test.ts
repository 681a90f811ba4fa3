import { describe, expect, it } from 'vitest';
import type { Container } from '../../../../shared/farm/schema.ts';
import { createConduction, shellCount } from '../../../../simulator/bag/conduction.ts';

const bag: Container = {
  id: 'bag',
  name: 'bag',
  kind: 'bag',
  shape: { form: 'cylinder', diameterM: 0.15, heightM: 0.2 },
  massKg: 2.6,
  volumeL: 3.5,
  moisture: 0.5,
  shakeable: true,
};
const rounding = 1e-9;
const fresh = (tempC: number) => Array.from({ length: shellCount }, () => tempC);

describe('heat in a bag', () => {
  it('keeps account of every joule', () => {
    const conduction = createConduction(bag, 0.35, 8, 300);
    const temps = fresh(40);
    for (let step = 0; step < 200; step += 1) {
      const held = () =>
        temps.reduce((sum, tempC, i) => sum + conduction.shares[i]! * conduction.capacityJPerK * tempC, 0);
      const before = held();
      const lostW = conduction.step(temps, 20, 0.3);
      expect(held() - before).toBeCloseTo((0.3 * bag.massKg - lostW) * 300, 4);
    }
  });

  it('cools without overshoot, the axis last, at any length of step', () => {
    for (const stepS of [60, 300, 86_400]) {
      const conduction = createConduction(bag, 0.35, 8, stepS);
      const temps = fresh(60);
      for (let step = 0; step < 50; step += 1) {
        const before = [...temps];
        conduction.step(temps, 20, 0);
        temps.forEach((tempC, i) => {
          expect(tempC).toBeLessThanOrEqual(before[i]! + rounding);
          expect(tempC).toBeGreaterThanOrEqual(20 - rounding);
          if (i > 0) expect(tempC).toBeLessThanOrEqual(temps[i - 1]! + rounding);
        });
      }
      expect(temps[0]).toBeLessThan(60);
    }
  });

  it('takes a brick as the cylinder of its cross-section', () => {
    const edge = Math.sqrt((Math.PI * 0.15 ** 2) / 4);
    const brick: Container = {
      ...bag,
      shape: { form: 'brick', widthM: edge, depthM: edge, heightM: 0.2 },
    };
    const [a, b] = [bag, brick].map((container) => {
      const temps = fresh(50);
      createConduction(container, 0.35, 8, 600).step(temps, 20, 0);
      return temps;
    });
    a!.forEach((tempC, i) => {
      expect(tempC).toBeCloseTo(b![i]!, 10);
    });
  });
});
