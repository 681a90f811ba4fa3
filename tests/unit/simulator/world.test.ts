import { describe, expect, it, vi } from 'vitest';
import { dayMs, hourMs } from '../../../shared/time.ts';
import type { BagTruthNow } from '../../../simulator/bag/population.ts';
import { createWorld, restoreWorld } from '../../../simulator/world.ts';
import { calmScenario, event, made, someMorning } from './helpers.ts';

vi.setConfig({ testTimeout: 60_000 });

const begin = (seed = 3) => createWorld({ scenario: calmScenario, seed, startAt: someMorning });

describe('world', () => {
  it('lets every sensor of the farm file speak at its own pace, in order of time', () => {
    const world = begin();
    const messages = world.stepTo(someMorning + hourMs);
    const perTopic = new Map<string, number>();
    for (const { topic } of messages) perTopic.set(topic, (perTopic.get(topic) ?? 0) + 1);
    expect([...perTopic.keys()].sort()).toEqual(world.farm.sensors.map(({ topic }) => topic).sort());
    for (const { topic, everyS } of world.farm.sensors)
      expect(perTopic.get(topic)).toBeGreaterThan((50 / 60) * (3_600 / everyS));
    const times = messages.map(({ t }) => t);
    expect(times).toEqual([...times].sort((a, b) => a - b));
    expect(times.every((t) => t >= someMorning && t <= someMorning + hourMs)).toBe(true);
  });

  it('told thinly, lets the air of rooms at large alone speak at a spacing of its own, also put away', () => {
    const world = begin();
    world.setLeastSpacing(900, 120);
    world.stepTo(someMorning + hourMs);
    const later = restoreWorld(calmScenario, JSON.parse(JSON.stringify(world.snapshot())));
    const gapsS = new Map<string, number[]>();
    const before = new Map<string, number>();
    for (const { topic, t } of later.stepTo(someMorning + 7 * hourMs)) {
      gapsS.set(topic, [...(gapsS.get(topic) ?? []), (t - (before.get(topic) ?? t)) / 1000]);
      before.set(topic, t);
    }
    const shortest = (topic: string) => Math.min(...gapsS.get(topic)!.slice(1));
    for (const room of ['warm', 'cool']) {
      expect(shortest(`fernhollow/${room}/air`)).toBe(120);
      // Of the room too, but of what stands in it.
      expect(shortest(`fernhollow/cart/${room}`)).toBe(900);
    }
    for (const shelf of ['A1', 'C4', 'D2']) expect(shortest(`fernhollow/shelf/${shelf}`)).toBe(900);
  });

  it('grows bags that were made and placed, the warmer room faster', () => {
    // The same batch of the same seed: only the shelf differs.
    const [warm, cool] = ['A2', 'C2'].map((shelf) => {
      const world = begin();
      world.setLeastSpacing(3_600);
      world.apply(made('SAME', someMorning));
      world.apply(event({ kind: 'placed', t: someMorning, batch: 'SAME', shelf }));
      world.stepTo(someMorning + 6 * dayMs);
      return world.truthOf('SAME')[0]!;
    }) as [BagTruthNow, BagTruthNow];
    expect(warm.coreTempC).toBeGreaterThan(cool.coreTempC + 1);
    expect(warm.share).toBeGreaterThan(cool.share);
  });

  it('waits with an event of later until its time', () => {
    const world = begin();
    world.apply(made('LATER', someMorning + 2 * hourMs));
    world.stepTo(someMorning + hourMs);
    expect(() => world.truthOf('LATER')).toThrow(/No batch LATER/);
    world.stepTo(someMorning + 3 * hourMs);
    expect(world.truthOf('LATER')).toHaveLength(2);
  });

  it('grows bags made earlier up to now', () => {
    const world = begin();
    world.apply(made('OLD', someMorning - 20 * dayMs));
    world.apply(made('NEW', someMorning));
    expect(world.truthOf('OLD')[0]!.share).toBeGreaterThan(world.truthOf('NEW')[0]!.share + 0.3);
  });

  it('takes a shake, a use and a making back', () => {
    const world = begin();
    const makeIt = made('UNDO', someMorning);
    world.apply(makeIt);
    world.setLeastSpacing(3_600);
    world.stepTo(someMorning + 9 * dayMs);
    const before = world.truthOf('UNDO');
    const t = world.now();
    const shake = event({ kind: 'shaken', t, batch: 'UNDO' });
    const use = event({ kind: 'used', t, batch: 'UNDO', bags: [1] });
    world.apply(shake);
    world.apply(use);
    expect(world.truthOf('UNDO').map(({ bag }) => bag)).toEqual([2]);
    world.apply(event({ kind: 'undone', t, batch: 'UNDO', event: use.id }));
    world.apply(event({ kind: 'undone', t, batch: 'UNDO', event: shake.id }));
    expect(world.truthOf('UNDO')).toEqual(before);
    world.apply(event({ kind: 'undone', t, batch: 'UNDO', event: makeIt.id }));
    expect(world.truthOf('UNDO')).toEqual([]);
  });

  it('counts an event that comes twice once', () => {
    const world = begin();
    world.apply(made('TWICE', someMorning - 8 * dayMs));
    const shake = event({ kind: 'shaken', t: someMorning, batch: 'TWICE' });
    world.apply(shake);
    const once = JSON.stringify(world.snapshot());
    world.apply(shake);
    expect(JSON.stringify(world.snapshot())).toBe(once);
  });

  it('refuses to go back, and a snapshot of another scenario', () => {
    const world = begin();
    expect(() => world.stepTo(someMorning - 1)).toThrow(/cannot go back/);
    expect(() => restoreWorld({ ...calmScenario, id: 'other' }, world.snapshot())).toThrow(/snapshot is of/);
  });
});
