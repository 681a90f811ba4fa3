import { expect, it } from 'vitest';
import { createRandom, seedOf } from '../../../../simulator/random.ts';
import { createHotLoad, drawCart, freshLoad } from '../../../../simulator/room/hot-load.ts';
import { fernhollowHistory } from '../../../../simulator/scenarios/fernhollow.ts';
import { unloadRooms } from '../../../../simulator/studies/unload-rooms.ts';
import { createWorld, restoreWorld } from '../../../../simulator/world.ts';

const startAt = Date.UTC(2025, 2, 3);
const load = { id: 'u1', room: 'warm', container: 'grain-bag', count: 90, startC: 95 };
const minutes = (count: number) => startAt + count * 60_000;

it('a hot load warms its room and no other, and cools; a world put away goes on alike', () => {
  const make = () => createWorld({ scenario: fernhollowHistory, seed: seedOf('hot'), startAt });
  const [cool, hot] = [make(), make()];
  for (const world of [cool, hot]) world.stepTo(minutes(180));
  hot.bringIn(load);
  let warmerK = 0;
  for (let minute = 181; minute <= 240; minute += 1) {
    for (const world of [cool, hot]) world.stepTo(minutes(minute));
    warmerK += (hot.roomC('warm') - cool.roomC('warm')) / 60;
  }
  expect(warmerK).toBeGreaterThan(0.5);
  expect(hot.roomC('cool')).toBeCloseTo(cool.roomC('cool'), 9);
  const { coreC, skinC } = hot.loadC('u1')!;
  expect(skinC).toBeLessThan(coreC);
  expect(coreC).toBeLessThanOrEqual(95);

  const again = restoreWorld(fernhollowHistory, JSON.parse(JSON.stringify(hot.snapshot())));
  for (const world of [hot, again]) world.stepTo(minutes(300));
  expect(again.loadC('u1')).toEqual(hot.loadC('u1'));
  expect(again.roomC('warm')).toBe(hot.roomC('warm'));

  hot.takeAway('u1');
  expect(hot.loadC('u1')).toBeUndefined();
  expect(() => hot.bringIn({ ...load, container: 'crate' })).toThrow(/no room 'warm' or container 'crate'/);
});

it('the probe of the room’s cart tells its core while it stands in it, and the air before and after', () => {
  const world = createWorld({ scenario: fernhollowHistory, seed: seedOf('probe'), startAt });
  const told = (minute: number): number[] =>
    world
      .stepTo(minutes(minute))
      .filter(({ topic }) => topic === 'fernhollow/cart/warm')
      .map(({ payload }) => Number(payload));
  const airC = world.roomC('warm');
  for (const tempC of told(60)) expect(Math.abs(tempC - airC)).toBeLessThan(3);
  world.bringIn(load);
  told(75);
  const core = told(120);
  expect(core).toHaveLength(45);
  // Offset, drift and noise of a probe, and what the core does within its lag.
  expect(Math.abs(core.at(-1)! - world.loadC('u1')!.coreC)).toBeLessThan(1);
  expect(core.at(-1)).toBeGreaterThan(80);

  const again = restoreWorld(fernhollowHistory, JSON.parse(JSON.stringify(world.snapshot())));
  expect(again.stepTo(minutes(130))).toEqual(world.stepTo(minutes(130)));
  world.putProbe('u1', null);
  told(150);
  expect(told(160).at(-1)).toBeLessThan(world.loadC('u1')!.coreC - 20);
  world.putProbe('u1', 'cart-warm');
  told(180);
  expect(told(190).at(-1)).toBeGreaterThan(70);
  world.takeAway('u1');
  told(220);
  expect(told(230).at(-1)).toBeLessThan(40);
});

it('a sensor that came after a farm was put away speaks from then on, and not of what was before', () => {
  const { snapshot, stepTo } = createWorld({ scenario: fernhollowHistory, seed: 3, startAt });
  stepTo(minutes(600));
  const kept = snapshot();
  delete kept.sensors['cart-warm'];
  const said = restoreWorld(fernhollowHistory, kept)
    .stepTo(minutes(610))
    .filter(({ topic }) => topic === 'fernhollow/cart/warm');
  expect(said.length).toBeGreaterThan(5);
  expect(said.length).toBeLessThanOrEqual(11);
});

it('gives more than half of its heat to the walls at first, as a surface at 95 °C radiates', () => {
  const { containers } = createWorld({ scenario: fernhollowHistory, seed: 1, startAt }).farm;
  const container = containers.find(({ id }) => id === load.container)!;
  const [cart, kind, own] = ['cart', 'kind', 'own'].map((name) => createRandom(seedOf(name)));
  const hot = createHotLoad(freshLoad({ ...load, container }, drawCart(cart!), kind!, own!), container);
  const { airW, wallW } = hot.step(22, 22, 1);
  // By hand: 0.92 x 5.67e-8 x (368^2 + 295^2) x 663 = 7.7 W/m2K beside 1.31 x 73^(1/3) = 5.5 W/m2K.
  expect(wallW / (airW + wallW)).toBeCloseTo(7.7 / (7.7 + 5.5), 1);
  expect(airW).toBeGreaterThan(0);
});

it('a load put away in other cells goes on from their mean', () => {
  const world = createWorld({ scenario: fernhollowHistory, seed: seedOf('cells'), startAt });
  world.bringIn(load);
  world.stepTo(minutes(60));
  const kept = JSON.parse(JSON.stringify(world.snapshot()));
  for (const group of kept.loads[0].groups) group.tempsC = [80, 70, 60];
  const again = restoreWorld(fernhollowHistory, kept);
  expect(again.loadC('u1')!.coreC).toBeCloseTo(70, 9);
  again.stepTo(minutes(120));
  expect(again.loadC('u1')!.coreC).toBeLessThan(70);
});

it('a study of unloads is alike for a seed, and more heats its room more', () => {
  const first = () => [...unloadRooms({ count: 1, seed: 3, days: 1, small: 0 })][0]!;
  const one = first();
  expect(first().truth.airC).toEqual(one.truth.airC);
  const { airC } = one.carryOut(Math.round(one.unload.count * 1.5));
  const highest = (values: Float64Array) => values.reduce((most, value) => Math.max(most, value), -99);
  expect(highest(airC)).toBeGreaterThan(highest(one.truth.airC));
  expect(one.carryOut(one.unload.count).airC).toEqual(one.truth.airC);
});

it('a study says of each minute whether the cooler ran: the air falls while it does and rises between', () => {
  const { past } = [...unloadRooms({ count: 1, seed: 3, days: 1, small: 0 })][0]!;
  expect(past.coolerOn).toHaveLength(past.airC.length);
  expect([...new Set(past.coolerOn)].sort()).toEqual([0, 1]);
  const meanStep = (on: 0 | 1) => {
    const steps = [...past.airC.keys()]
      .slice(2)
      // Within a run and a minute past its start: what a sensor that lags says of one state alone.
      .filter((k) => [k, k - 1, k - 2].every((at) => past.coolerOn[at] === on))
      .map((k) => past.airC[k]! - past.airC[k - 1]!)
      .filter(Number.isFinite);
    return steps.reduce((sum, step) => sum + step, 0) / steps.length;
  };
  expect(meanStep(1)).toBeLessThan(0);
  expect(meanStep(0)).toBeGreaterThan(0);
});
