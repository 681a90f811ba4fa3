import { beforeAll, describe, expect, it, vi } from 'vitest';
import { checkEvent, parseEvent } from '../../../collector/bags/check-event.ts';
import type { BagEvent } from '../../../shared/bags.ts';
import { deriveBatch } from '../../../shared/batches/derive-batch.ts';
import type { BatchState } from '../../../shared/batches.ts';
import { buildFarm } from '../../../shared/farm/farm.ts';
import { groupBy } from '../../../shared/group-by.ts';
import { builtInSpecies } from '../../../shared/growth/species.ts';
import { createManualClock } from '../../../shared/manual-clock.ts';
import { dayMs, hourMs, minuteMs } from '../../../shared/time.ts';
import { recogniseUnload } from '../../../shared/unload/recognise.ts';
import { createDemo, type DemoSnapshot, resumeDemo } from '../../../simulator/demo/demo.ts';
import type { SensorMessage } from '../../../simulator/sensor/sensor.ts';
import { event, made, someMorning } from '../../unit/simulator/helpers.ts';

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const now = someMorning + 3 * hourMs;
const messages: SensorMessage[] = [];
const events: BagEvent[] = [];
const handedOver: ('deliver' | 'record' | number)[] = [];
let snapshot: string;
let batches: BatchState[];
/** Highest mean of the Warm room in the hours when its cooler was tripped. */
let trippedPeakC = Number.NEGATIVE_INFINITY;
const { world: another } = createDemo({ seed: 1, now });
const farm = buildFarm(another.farm, builtInSpecies);
const within = (t: number, fromH: number, toH: number) =>
  t >= another.startAt + fromH * hourMs && t <= another.startAt + toH * hourMs;

beforeAll(() => {
  const demo = createDemo({ seed: 7, now });
  let clock = demo.heardFrom;
  demo.makeHistory(
    {
      deliver(some) {
        for (const { t } of some) if (t < clock) throw new Error('a message came late');
        messages.push(...some);
      },
      record(one) {
        const byBatch = groupBy(events, ({ batch }) => batch);
        // The very check that the farm's own records go through.
        checkEvent(parseEvent(one), {
          farm,
          now: Math.max(clock, one.t),
          eventsOf: (batch) => byBatch.get(batch) ?? [],
          childrenOf: () => [],
        });
        events.push(one);
      },
      advanceTo(t) {
        if (t < clock) throw new Error('time went back');
        clock = t;
        handedOver.push(t);
        const { world } = demo;
        if (world.faults().some(({ what, fromH, toH }) => what === 'cooling' && within(t, fromH, toH)))
          trippedPeakC = Math.max(trippedPeakC, world.roomC('warm'));
      },
    },
    900,
  );
  expect(clock).toBe(now);
  snapshot = JSON.stringify(demo.snapshot());
  const byBatch = groupBy(events, ({ batch }) => batch);
  batches = [...byBatch.values()].map((some) => deriveBatch(some)!);
});

const resumed = () => resumeDemo(JSON.parse(snapshot) as DemoSnapshot);
/** What the collector would ask of a room by what its sensor said in the last eight hours. */
function askedAt(t: number, said: readonly SensorMessage[]) {
  const firstT = t - 8 * hourMs;
  const airC = new Float64Array(8 * 60 + 1).fill(Number.NaN);
  for (const { t: at, payload } of said)
    if (at >= firstT) airC[Math.ceil((at - firstT) / minuteMs)] = JSON.parse(`${payload}`).air.temperature;
  const air = { firstT, stepMs: minuteMs, airC, outsideC: new Float64Array(0) };
  return recogniseUnload({ air, localHour: (at) => (at % dayMs) / hourMs, now: t });
}
const silent = { deliver() {}, record() {}, advanceTo() {} };

describe('the history of Fernhollow', () => {
  it('covers three weeks of readings, the last of them from just before now', () => {
    expect(now - messages[0]!.t).toBeGreaterThan(20.9 * dayMs);
    expect(now - messages.at(-1)!.t).toBeLessThan(20 * minuteMs);
    expect(new Set(messages.map(({ topic }) => topic)).size).toBe(farm.file.sensors.length);
  });

  it('leaves about forty batches of six species at all stages, and a good many finished', () => {
    const standing = batches.filter(({ endedAt }) => endedAt === null);
    expect(standing.length).toBeGreaterThanOrEqual(30);
    expect(standing.length).toBeLessThanOrEqual(45);
    const species = new Set(standing.map(({ strain }) => farm.strains.get(strain)!.species));
    expect(species.size).toBeGreaterThanOrEqual(5);
    expect(new Set(batches.map(({ strain }) => farm.strains.get(strain)!.species)).size).toBe(6);
    const { world } = resumed();
    const shares = standing.map(({ id }) => world.truthOf(id)[0]!.share);
    for (const [low, high] of [
      [0, 0.2],
      [0.2, 0.6],
      [0.6, 0.95],
      [0.95, 1],
    ] as const)
      expect(shares.filter((share) => share >= low && share <= high).length).toBeGreaterThan(1);
    expect(batches.length - standing.length).toBeGreaterThanOrEqual(12);
    const kinds = new Set(events.map(({ kind }) => kind));
    for (const kind of ['made', 'placed', 'checked', 'shaken', 'used', 'moved'] as const)
      expect(kinds).toContain(kind);
  });

  it('never puts more bags on a shelf than it has places', () => {
    const onShelf = new Map<string, number>();
    for (const { cohorts } of batches)
      for (const { shelf, bags } of cohorts) onShelf.set(shelf!, (onShelf.get(shelf!) ?? 0) + bags.length);
    for (const [shelf, count] of onShelf)
      expect(count, shelf).toBeLessThanOrEqual(farm.shelves.get(shelf)!.places);
  });

  it('holds a night in which the Warm room passed its limit because the cooler had tripped', () => {
    expect(trippedPeakC).toBeGreaterThan(28.5);
    expect(trippedPeakC).toBeLessThan(32);
  });

  it('ends with the Warm room above its limit and the Cool room within', () => {
    const { world } = resumed();
    expect(world.roomC('warm')).toBeGreaterThan(28.5);
    expect(world.roomC('warm')).toBeLessThan(31.5);
    expect(world.roomC('cool')).toBeGreaterThan(18);
    expect(world.roomC('cool')).toBeLessThan(24);
  });

  it('the truth stands where the records say', () => {
    const { world } = resumed();
    for (const { id, cohorts } of batches.filter(({ endedAt }) => endedAt === null)) {
      const recorded = cohorts.flatMap(({ bags, shelf }) => bags.map((bag) => ({ bag, shelf })));
      const truth = world.truthOf(id).map(({ bag, shelf }) => ({ bag, shelf }));
      expect(truth).toEqual(recorded.sort((a, b) => a.bag - b.bag));
    }
  });
});

describe('a later start', () => {
  it('goes on from the snapshot: the gap is lived, its last two days told, something is amiss again', () => {
    const demo = resumed();
    const told: number[] = [];
    const warm: SensorMessage[] = [];
    const acts: BagEvent[] = [];
    const until = now + 5 * dayMs;
    demo.catchUp(
      {
        ...silent,
        deliver(some) {
          told.push(...some.map(({ t }) => t));
          warm.push(...some.filter(({ topic }) => topic === 'fernhollow/warm/air'));
        },
        record: (one) => acts.push(one),
      },
      until,
    );
    expect(demo.world.now()).toBe(until);
    expect(Math.min(...told)).toBeGreaterThanOrEqual(until - 2 * dayMs);
    expect(acts.some(({ kind }) => kind === 'made')).toBe(true);
    expect(demo.world.roomC('warm')).toBeGreaterThan(28.5);
    // It is the thermostat, and nobody is asked about a hot load.
    expect(askedAt(until, warm)).toBeNull();
  });

  it('refuses a snapshot of another form', () => {
    const kept = JSON.parse(snapshot) as DemoSnapshot;
    expect(() => resumeDemo({ ...kept, world: { ...kept.world, version: 0 as 2 } })).toThrow(/in form 0/);
  });
});

describe('the demo live', () => {
  const begin = () => {
    const clock = createManualClock(now);
    const demo = resumed();
    const published: SensorMessage[] = [];
    const recorded: BagEvent[] = [];
    const errors: unknown[] = [];
    const live = demo.live({
      clock,
      publish: (message) => published.push(message),
      record: (one) => {
        recorded.push(one);
        live.onBagEvent(one);
      },
      onError: (error) => errors.push(error),
    });
    return { clock, demo, live, published, recorded, errors };
  };

  it('publishes as often as each sensor speaks, and for a day its people only look', () => {
    const { clock, published, recorded, errors } = begin();
    clock.advanceBy(20 * hourMs);
    expect(errors).toEqual([]);
    const perHour = farm.file.sensors.reduce((sum, { everyS }) => sum + 3_600 / everyS, 0);
    expect(published.length).toBeGreaterThan(19 * perHour);
    expect(recorded.length).toBeGreaterThan(3);
    expect(new Set(recorded.map(({ kind }) => kind))).toEqual(new Set(['checked']));
  });

  it('left alone for days, it keeps the farm going', () => {
    const { clock, recorded } = begin();
    clock.advanceBy(4 * dayMs);
    const kinds = new Set(recorded.map(({ kind }) => kind));
    for (const kind of ['made', 'placed', 'used'] as const) expect(kinds).toContain(kind);
  });

  it('follows what the user does', () => {
    const { clock, demo, live } = begin();
    clock.advanceBy(minuteMs);
    live.onBagEvent(made('MINE', clock.now()));
    live.onBagEvent(event({ kind: 'placed', t: clock.now(), batch: 'MINE', shelf: 'A1' }));
    live.onBagEvent(event({ kind: 'used', t: clock.now(), batch: 'MINE', bags: [2] }));
    expect(demo.world.truthOf('MINE').map(({ bag, shelf }) => [bag, shelf])).toEqual([[1, 'A1']]);
  });

  it('after the machine slept, what was missed is not sent late', () => {
    const demo = resumed();
    let t = now;
    const published: number[] = [];
    const actions: (() => void)[] = [];
    demo.live({
      clock: {
        now: () => t,
        after: () => () => {},
        every(_, action) {
          actions.push(action);
          return () => {};
        },
      },
      publish: (message) => published.push(message.t),
      record() {},
      onError: (error) => {
        throw error;
      },
    });
    t += 3 * hourMs;
    const woke = t;
    actions[0]!();
    t += minuteMs;
    actions[0]!();
    expect(published.length).toBeGreaterThan(5);
    expect(published.every((at) => at > woke - minuteMs)).toBe(true);
    expect(demo.world.now()).toBe(t);
  });
});
