import { describe, expect, it } from 'vitest';
import { createManualClock } from '../../../shared/manual-clock.ts';

describe('manual clock', () => {
  it('fires timers in order of time, each at its own time, and ends where it was turned to', () => {
    const clock = createManualClock(1_000);
    const seen: [string, number][] = [];
    clock.after(300, () => seen.push(['late', clock.now()]));
    clock.every(200, () => seen.push(['each', clock.now()]));
    clock.after(100, () => {
      seen.push(['early', clock.now()]);
      clock.after(0, () => seen.push(['nested', clock.now()]));
    });

    clock.advanceTo(1_450);

    expect(seen).toEqual([
      ['early', 1_100],
      ['nested', 1_100],
      ['each', 1_200],
      ['late', 1_300],
      ['each', 1_400],
    ]);
    expect(clock.now()).toBe(1_450);
  });

  it('keeps timers of one instant in the order in which they were set', () => {
    const clock = createManualClock(0);
    const seen: number[] = [];
    for (let i = 0; i < 50; i += 1) clock.after(10, () => seen.push(i));
    clock.advanceBy(10);
    expect(seen).toEqual(Array.from({ length: 50 }, (_, i) => i));
  });

  it('does not fire what was cancelled, even from a timer of the same instant', () => {
    const clock = createManualClock(0);
    const seen: string[] = [];
    const stop = clock.every(5, () => seen.push('each'));
    clock.after(10, () => cancel());
    const cancel = clock.after(10, () => seen.push('cancelled'));
    clock.after(12, stop);
    clock.advanceTo(100);
    expect(seen).toEqual(['each', 'each']);
    expect(clock.pending).toBe(0);
  });

  it('lets an error through, stands at that timer, and goes on when turned again', () => {
    const clock = createManualClock(0);
    let after = 0;
    clock.after(10, () => {
      throw new Error('no');
    });
    clock.after(20, () => {
      after = clock.now();
    });
    expect(() => clock.advanceTo(50)).toThrow('no');
    expect(clock.now()).toBe(10);
    clock.advanceTo(50);
    expect(after).toBe(20);
  });

  it('refuses to go back, to turn from within a timer, and a period of zero', () => {
    const clock = createManualClock(10);
    expect(() => clock.advanceTo(9)).toThrow(/time only goes on/);
    expect(() => clock.every(0, () => {})).toThrow(/above 0 ms/);
    clock.after(1, () => clock.advanceBy(1));
    expect(() => clock.advanceBy(5)).toThrow(/may not turn the clock/);
  });
});
