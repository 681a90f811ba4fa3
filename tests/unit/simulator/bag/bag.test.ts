import { describe, expect, it } from 'vitest';
import type { Inoculation } from '../../../../shared/bags.ts';
import { type Bag, createBag, freshBagState } from '../../../../simulator/bag/bag.ts';
import { type BagTruth, drawBag, drawBatch, drawStrain } from '../../../../simulator/bag/hidden.ts';
import { createRandom } from '../../../../simulator/random.ts';
import { farmOf } from '../../../../simulator/scenarios/scenario.ts';
import { calmScenario } from '../helpers.ts';

const grainBag = farmOf(calmScenario).containers.find(({ id }) => id === 'grain-bag')!;
const stepS = 900;
const perDay = 86_400 / stepS;
const strain = drawStrain(5, 'larch-2', 'oyster', 1);
const spawn: Inoculation = { way: 'grain-to-grain', partsPerSpawn: 10 };

const bagOf = (change: Partial<BagTruth> = {}, inoculation: Inoculation = spawn, tempC = 24): Bag => {
  const random = createRandom(8);
  const truth = { ...drawBag(strain, drawBatch(random), inoculation.way, 0, random), ...change };
  return createBag(freshBagState(1, inoculation, truth, tempC), grainBag, strain, stepS);
};
const pass = (bag: Bag, days: number, airC: number) => {
  for (let step = 0; step < days * perDay; step += 1) bag.step(airC);
};

describe('a simulated bag', () => {
  it('warms itself by one to a few kelvin at the height of its run, and by less once full', () => {
    const bag = bagOf();
    let peakK = 0;
    for (let step = 0; step < 12 * perDay; step += 1) {
      bag.step(24);
      peakK = Math.max(peakK, bag.coreTempC() - 24);
    }
    expect(peakK).toBeGreaterThan(1);
    expect(peakK).toBeLessThan(6);
    pass(bag, 10, 24);
    expect(bag.coreTempC() - 24).toBeLessThan(peakK / 2);
  });

  it('sets free over its run about the heat that its truth says', () => {
    const bag = bagOf({ keepHeatWPerKg: 0 });
    let joules = 0;
    for (let step = 0; step < 40 * perDay; step += 1) joules += bag.step(24) * stepS;
    const { growHeatJPerKg } = bag.state.truth;
    const grown = (1 - 1 / 11) * growHeatJPerKg * grainBag.massKg;
    expect(joules / grown).toBeGreaterThan(0.97);
    expect(joules / grown).toBeLessThan(1.03);
  });

  it('does not grow in the cold, nor above its range, and heat slows it afterwards', () => {
    const cold = bagOf({}, spawn, 1);
    pass(cold, 10, 1);
    expect(cold.share()).toBeLessThan(0.12);

    const hurt = bagOf();
    const spared = bagOf();
    pass(hurt, 2, 44);
    pass(spared, 0.001, 24);
    expect(hurt.state.vigour).toBeLessThan(0.7);
    pass(hurt, 4, 24);
    pass(spared, 4, 24);
    expect(hurt.share()).toBeLessThan(spared.share());
  });

  it('never fills what something else reached first, and shows it', () => {
    const spoilt = bagOf({ contaminant: { pace: 2, delayMm: 0 } }, { way: 'agar-wedges', pieces: 10 });
    pass(spoilt, 40, 24);
    expect(spoilt.share()).toBeLessThan(0.9);
    expect(spoilt.spoiltToSee()).toBe(true);
    const clean = bagOf();
    pass(clean, 40, 24);
    expect(clean.spoiltToSee()).toBe(false);
    expect(clean.share()).toBe(1);
  });

  it('shows a little less through the film than there is: fronts reach the wall last', () => {
    const bag = bagOf({}, { way: 'agar-wedges', pieces: 10 });
    pass(bag, 10, 24);
    expect(bag.share()).toBeGreaterThan(0.1);
    expect(Math.abs(bag.visibleShare() - bag.share())).toBeLessThan(0.25);
  });
});
