import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { dayMs, hourMs } from '../../../shared/time.ts';
import { fernhollowHistory } from '../../../simulator/scenarios/fernhollow.ts';
import { createWorld, restoreWorld, type World } from '../../../simulator/world.ts';
import { event, made, someMorning } from '../../unit/simulator/helpers.ts';

vi.setConfig({ testTimeout: 60_000 });

const begin = (seed: number): World => {
  const world = createWorld({ scenario: fernhollowHistory, seed, startAt: someMorning });
  world.apply({ ...made('P-1', someMorning), id: 'made-p-1' });
  world.apply({ ...event({ kind: 'placed', t: someMorning, batch: 'P-1', shelf: 'A1' }), id: 'placed-p-1' });
  world.apply({
    ...event({ kind: 'shaken', t: someMorning + 3 * dayMs, batch: 'P-1' }),
    id: 'shaken-p-1',
  });
  return world;
};
const runs = { numRuns: 3, seed: 20 };

describe('laws of the simulated world', () => {
  it('same seed, same bytes; another seed, others', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const tell = (world: World) =>
          JSON.stringify([world.stepTo(someMorning + 5 * hourMs), world.snapshot()]);
        expect(tell(begin(seed))).toBe(tell(begin(seed)));
        expect(tell(begin(seed))).not.toBe(tell(begin(seed + 1)));
      }),
      runs,
    );
  });

  it('tells the same however its time is cut up', () => {
    const cuts = fc.array(fc.integer({ min: 1, max: 26 * hourMs }), { maxLength: 12 });
    fc.assert(
      fc.property(cuts, (lengths) => {
        const end = someMorning + 26 * hourMs;
        const whole = begin(5);
        const cut = begin(5);
        const messages = lengths
          .map((length) => Math.min(end, someMorning + length))
          .sort((a, b) => a - b)
          .flatMap((t) => cut.stepTo(t));
        messages.push(...cut.stepTo(end));
        expect(messages).toEqual(whole.stepTo(end));
        expect(cut.snapshot()).toEqual(whole.snapshot());
      }),
      runs,
    );
  });

  it('put away as JSON and taken up again, goes on as if nothing had happened', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5 * 24 * 60 }), (minutes) => {
        const end = someMorning + 5 * dayMs;
        const whole = begin(6);
        const first = begin(6);
        whole.setLeastSpacing(600, 300);
        first.setLeastSpacing(600, 300);
        const messages = first.stepTo(someMorning + minutes * 60_000);
        const second = restoreWorld(fernhollowHistory, JSON.parse(JSON.stringify(first.snapshot())));
        messages.push(...second.stepTo(end));
        expect(messages).toEqual(whole.stepTo(end));
        expect(second.snapshot()).toEqual(whole.snapshot());
      }),
      runs,
    );
  });

  it('share stays in [0, 1], falls at no time, and a shake alone changes it by nothing', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const world = begin(seed);
        world.setLeastSpacing(3_600);
        let before = world.truthOf('P-1').map(({ share }) => share);
        for (let t = someMorning + 8 * hourMs; t < someMorning + 14 * dayMs; t += 8 * hourMs) {
          world.stepTo(t);
          const shares = world.truthOf('P-1').map(({ share }) => share);
          shares.forEach((share, i) => {
            expect(share).toBeGreaterThanOrEqual(before[i]!);
            expect(share).toBeLessThanOrEqual(1);
          });
          before = shares;
        }
        world.apply(event({ kind: 'shaken', t: world.now(), batch: 'P-1' }));
        expect(world.truthOf('P-1').map(({ share }) => share)).toEqual(before);
      }),
      runs,
    );
  });

  it('keeps rooms that nothing ails near their thermostats, and all air finite', () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const world = createWorld({
          scenario: { ...fernhollowHistory, roomFaults: [] },
          seed,
          startAt: someMorning,
        });
        world.setLeastSpacing(3_600);
        for (let t = someMorning + dayMs; t < someMorning + 6 * dayMs; t += hourMs) {
          world.stepTo(t);
          expect(world.roomC('warm')).toBeGreaterThan(21);
          expect(world.roomC('warm')).toBeLessThan(28);
          expect(world.roomC('cool')).toBeGreaterThan(17.5);
          expect(world.roomC('cool')).toBeLessThan(24.5);
        }
      }),
      runs,
    );
  });
});
