import { describe, expect, it, vi } from 'vitest';
import type { Inoculation } from '../../../shared/bags.ts';
import { createBag, freshBagState } from '../../../simulator/bag/bag.ts';
import { drawBag, drawBatch, drawStrain } from '../../../simulator/bag/hidden.ts';
import { createRandom, seedOf } from '../../../simulator/random.ts';
import { farmOf } from '../../../simulator/scenarios/scenario.ts';
import { calmScenario } from '../../unit/simulator/helpers.ts';

vi.setConfig({ testTimeout: 60_000 });

const grainBag = farmOf(calmScenario).containers.find(({ id }) => id === 'grain-bag')!;
const stepS = 900;
const full = 0.98;

/** Days until a 3.5 L bag of grain is full in steady air, over strains and bags; the middle one. */
function middleDays(species: string, inoculation: Inoculation, airC: number, shakeAt?: number): number {
  const days = Array.from({ length: 31 }, (_, seed) => {
    const strain = drawStrain(seed, 'strain', species, 1);
    const random = createRandom(seedOf('bag', seed));
    const truth = drawBag(strain, drawBatch(random), inoculation.way, 0, random);
    const bag = createBag(freshBagState(seed, inoculation, truth, airC), grainBag, strain, stepS);
    let steps = 0;
    let shaken = shakeAt === undefined;
    while (bag.share() < full && steps * stepS < 80 * 86_400) {
      bag.step(airC);
      steps += 1;
      if (!shaken && bag.share() >= shakeAt!) {
        bag.shake();
        shaken = true;
      }
    }
    return (steps * stepS) / 86_400;
  });
  return days.sort((a, b) => a - b)[15]!;
}

const agar: Inoculation = { way: 'agar-wedges', pieces: 10 };
const liquid: Inoculation = { way: 'liquid-culture', volumeMl: 10 };
const spawn = (partsPerSpawn: number): Inoculation => ({ way: 'grain-to-grain', partsPerSpawn });

describe('what the trade sees (common practice, no source), in the simulated world', () => {
  it('oyster from agar at 24 °C is full at about 15 days untouched', () => {
    expect(middleDays('oyster', agar, 24)).toBeGreaterThan(12.5);
    expect(middleDays('oyster', agar, 24)).toBeLessThan(18.5);
  });

  it('the same shaken at 30 % is full days sooner, at about 10', () => {
    const shaken = middleDays('oyster', agar, 24, 0.3);
    expect(shaken).toBeGreaterThan(8);
    expect(shaken).toBeLessThan(13.5);
    expect(middleDays('oyster', agar, 24) - shaken).toBeGreaterThan(2);
  });

  it('a bag from liquid culture is full at about 8 to 9 days', () => {
    const days = middleDays('oyster', liquid, 24);
    expect(days).toBeGreaterThan(6.5);
    expect(days).toBeLessThan(10.5);
  });

  it('grain to grain 1:10 takes 5 to 9 days, 1:20 longer', () => {
    const ten = middleDays('oyster', spawn(10), 24);
    expect(ten).toBeGreaterThan(5);
    expect(ten).toBeLessThan(9);
    expect(middleDays('oyster', spawn(20), 24)).toBeGreaterThan(ten + 0.4);
  });

  it('reishi on spawn at its best warmth takes 5 to 7 days', () => {
    const days = middleDays('reishi', spawn(10), 27);
    expect(days).toBeGreaterThan(4.5);
    expect(days).toBeLessThan(7.5);
  });
});
