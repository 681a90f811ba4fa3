import { describe, expect, it } from 'vitest';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { createScaledClock } from '../../../../simulator/training/scaled-clock.ts';

const errors: unknown[] = [];
const begin = (speed: number, paused = false) => {
  const base = createManualClock(5_000);
  const onError = (error: unknown) => errors.push(error);
  return { base, clock: createScaledClock({ base, startAt: 1_000_000, speed, paused, onError }) };
};

describe('scaled clock', () => {
  it('runs at its speed and gives each timer its own time', () => {
    const { base, clock } = begin(500);
    const seen: number[] = [];
    clock.every(60_000, () => seen.push(clock.now()));
    base.advanceBy(1_000);
    expect(clock.now()).toBe(1_500_000);
    expect(seen).toEqual([1, 2, 3, 4, 5, 6, 7, 8].map((n) => 1_000_000 + n * 60_000));
  });

  it('fires timers in their order even when many fall into one turn', () => {
    const { base, clock } = begin(10_000);
    const seen: string[] = [];
    clock.after(7, () => seen.push('c'));
    clock.after(3, () => {
      seen.push('a');
      clock.after(1, () => seen.push('b'));
    });
    clock.after(7, () => seen.push('d'));
    base.advanceBy(50);
    expect(seen).toEqual(['a', 'b', 'c', 'd']);
  });

  it('stands still while paused and goes on from there at a new speed', () => {
    const { base, clock } = begin(10);
    base.advanceBy(100);
    clock.setPaused(true);
    base.advanceBy(5_000);
    expect(clock.now()).toBe(1_001_000);
    clock.setSpeed(100);
    clock.setPaused(false);
    base.advanceBy(10);
    expect(clock.now()).toBe(1_002_000);
  });

  it('falls behind when there is more to do than time, skips nothing, and lets others have their turn', () => {
    const { base, clock } = begin(500);
    const busy = { now: 0 };
    const slow = createScaledClock({
      base: { ...base, now: () => base.now() + busy.now },
      startAt: 0,
      speed: 500,
      onError: (error) => errors.push(error),
    });
    const seen: number[] = [];
    slow.every(1_000, () => {
      seen.push(slow.now());
      // Each second of the run takes 3 ms of work: at most about 220 times real time.
      busy.now += 3;
    });
    let others = 0;
    base.every(5, () => {
      others += 1;
    });
    base.advanceBy(1_000);
    expect(seen).toEqual(Array.from({ length: seen.length }, (_, i) => (i + 1) * 1_000));
    expect(seen.length).toBeGreaterThan(50);
    expect(slow.reachedSpeed()).toBeLessThan(400);
    expect(others).toBe(200);
    clock.stop();
  });

  it('goes ahead at once only while paused', () => {
    const { clock } = begin(1, true);
    const seen: number[] = [];
    clock.every(1_000, () => seen.push(clock.now()));
    clock.advanceTo(1_002_500);
    expect(seen).toEqual([1_001_000, 1_002_000]);
    expect(() => clock.advanceTo(1)).toThrow(/sent back/);
    clock.setPaused(false);
    expect(() => clock.advanceTo(2_000_000)).toThrow(/Only a paused clock/);
  });

  it('hands errors of timers over and goes on', () => {
    const { base, clock } = begin(1);
    let after = false;
    clock.after(1, () => {
      throw new Error('this one failed');
    });
    clock.after(2, () => {
      after = true;
    });
    base.advanceBy(20);
    expect(after).toBe(true);
    expect(String(errors.at(-1))).toContain('this one failed');
    expect(() => clock.setSpeed(0)).toThrow(/0.1 to 10,000/);
  });
});
