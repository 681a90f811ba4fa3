import { expect, it } from 'vitest';
import type { Container } from '../../../shared/farm/schema.ts';
import { createConduction, shellCount } from '../../../simulator/bag/conduction.ts';

/**
 * Slowest decay of a long cylinder at Bi = 1: zeta1 = 1.2558 (Incropera & DeWitt, transient conduction
 * table; from memory). Five rings stand for the continuum: 4 % is their error together with the
 * little that leaves through the ends.
 */
it('cools a long cylinder at the rate of the one-term solution', () => {
  const column: Container = {
    id: 'column',
    name: 'column',
    kind: 'bag',
    shape: { form: 'cylinder', diameterM: 0.1, heightM: 1 },
    massKg: 6,
    volumeL: 7.85,
    moisture: 0.5,
    shakeable: true,
  };
  const conductivity = 0.4;
  const film = 8; // Bi = 8 * 0.05 / 0.4
  const stepS = 60;
  const conduction = createConduction(column, conductivity, film, stepS);
  const temps = Array.from({ length: shellCount }, () => 1);
  for (let i = 0; i < 240; i += 1) conduction.step(temps, 0, 0);
  const before = temps[0]!;
  const steps = 120;
  for (let i = 0; i < steps; i += 1) conduction.step(temps, 0, 0);
  const ratePerS = -Math.log(temps[0]! / before) / (steps * stepS);

  const volumeM3 = Math.PI * 0.05 ** 2;
  const diffusivity = conductivity / (conduction.capacityJPerK / volumeM3);
  const published = (1.2558 ** 2 * diffusivity) / 0.05 ** 2;
  expect(ratePerS / published).toBeGreaterThan(0.96);
  expect(ratePerS / published).toBeLessThan(1.04);
});
