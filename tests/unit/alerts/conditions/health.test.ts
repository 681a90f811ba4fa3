import { describe, expect, test } from 'vitest';
import { disagreementPlan } from '../../../../alerts/conditions/disagreement.ts';
import { driftPlan } from '../../../../alerts/conditions/drift.ts';
import { type SpikeMemory, stepSpike } from '../../../../alerts/conditions/spike.ts';
import { stuckPlan } from '../../../../alerts/conditions/stuck.ts';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';
import { createRandom } from '../../../tools/random.ts';

describe('a stuck sensor', () => {
  test('is one that stands still while a neighbour moves', () => {
    const signal = stuckPlan('a', ['b'], 1).create();
    let said: number | null = 0;
    for (let n = 0; n <= 60; n += 1) {
      signal.read('b', n * minuteMs, 24 + n / 16);
      said = signal.read('a', n * minuteMs, 24.3);
      // 17 min: the neighbour's first reading came before the channel's own.
      expect(said !== null).toBe(n >= 17);
    }
    expect(said).toBe(60);
    expect(signal.read('a', 61 * minuteMs, 24.4)).toBe(0);
  });

  test('is not one in a room that stands still itself', () => {
    const signal = stuckPlan('a', ['b'], 1).create();
    for (let n = 0; n < 12 * 60; n += 1) {
      signal.read('b', n * minuteMs, n % 2 === 0 ? 24 : 24.4);
      expect(signal.read('a', n * minuteMs, 24.3)).toBeNull();
    }
  });

  test('without neighbours is suspected after a day', () => {
    const signal = stuckPlan('a', [], 1).create();
    let said: number | null = 0;
    let first = Number.POSITIVE_INFINITY;
    for (let n = 0; n <= 25 * 6; n += 1) {
      said = signal.read('a', n * 10 * minuteMs, 24.3);
      if (said! > 0) first = Math.min(first, n * 10 * minuteMs);
    }
    expect(first).toBe(dayMs);
  });

  test('says nothing of a time in which it was not heard', () => {
    const signal = stuckPlan('a', [], 1).create();
    for (let n = 0; n < 20; n += 1) signal.read('a', n * minuteMs, 24.3);
    expect(signal.read('a', 3 * dayMs, 24.3)).toBeNull();
  });
});

describe('a spike', () => {
  const run = (values: readonly number[], everyMs = minuteMs) => {
    let memory: SpikeMemory | null = null;
    return values.map((value, n) => {
      const result = stepSpike(5, memory, n * everyMs, value);
      memory = result.memory;
      return result.spike;
    });
  };

  test('is a lone reading far off', () => {
    expect(run([24, 24.1, 60, 24.1, -20, 24.2])).toEqual([false, false, true, false, true, false]);
  });

  test('is not a jump that the next reading confirms', () => {
    expect(run([24, 24.1, 33, 33.2, 33.1])).toEqual([false, false, true, false, false]);
  });

  test('is none after a long gap, nor in a slow climb', () => {
    expect(run([24, 40], 20 * minuteMs)).toEqual([false, false]);
    expect(run([24, 27, 30, 33, 36])).toEqual([false, false, false, false, false]);
  });

  test('stays one when the same reading comes again', () => {
    let memory: SpikeMemory | null = null;
    for (const [t, value, spike] of [
      [0, 24, false],
      [minuteMs, 60, true],
      [minuteMs, 60, true],
      [2 * minuteMs, 24, false],
    ] as const) {
      const result = stepSpike(5, memory, t, value);
      memory = result.memory;
      expect(result.spike).toBe(spike);
    }
  });
});

describe('a drifting sensor', () => {
  /** Days of readings each half hour; `offset` of the day is added to the judged channel. */
  function days(count: number, offset: (day: number) => number, seed = 1) {
    const signal = driftPlan('a', ['b', 'c'], 0.15).create();
    const random = createRandom(seed);
    const said: number[] = [];
    for (let n = 0; n < count * 48; n += 1) {
      const t = n * 30 * minuteMs;
      const room = 24 + Math.sin((n / 48) * 2 * Math.PI);
      signal.read('b', t, room + random.normal() * 0.2);
      signal.read('c', t, room + 0.3 + random.normal() * 0.2);
      const value = signal.read('a', t, room + 0.5 + offset(n / 48) + random.normal() * 0.2);
      if (value !== null) said.push(value);
    }
    return { said, signal };
  }

  test('of 0.1 K a day is found within 10 days', () => {
    const { said } = days(30, (day) => Math.max(0, day - 10) * 0.1);
    const found = said.findIndex((value) => value > 5);
    // The first judgement is that of the ninth day.
    expect(found + 8).toBeGreaterThan(11);
    expect(found + 8).toBeLessThanOrEqual(20);
  });

  test('is not seen in a steady one over 200 days', () => {
    const { said } = days(200, () => 0);
    expect(Math.max(...said)).toBeLessThan(5);
  });

  test('keeps what it learned across a restart', () => {
    const { signal } = days(20, (day) => Math.max(0, day - 10) * 0.1);
    const again = driftPlan('a', ['b', 'c'], 0.15).create();
    again.keep!.load(signal.keep!.save());
    const next = (one: typeof signal) => {
      let last: number | null = null;
      for (let n = 0; n < 48 * 3; n += 1) {
        const t = 20 * dayMs + n * 30 * minuteMs;
        one.read('b', t, 24);
        one.read('c', t, 24.3);
        last = one.read('a', t, 25.6) ?? last;
      }
      return last;
    };
    const said = next(again);
    expect(said).toBe(next(signal));
    expect(said).toBeGreaterThan(5);
  });
});

describe('sensors in one place', () => {
  test('two are as far apart as their values', () => {
    const signal = disagreementPlan('a', [{ channel: 'b', everyMs: minuteMs }]).create();
    signal.read('b', 0, 24);
    expect(signal.read('a', 1000, 26.1)).toBeCloseTo(2.1);
  });

  test('among three the odd one stands out', () => {
    const plan = (channel: string) =>
      disagreementPlan(
        channel,
        ['a', 'b', 'c']
          .filter((other) => other !== channel)
          .map((other) => ({ channel: other, everyMs: minuteMs })),
      ).create();
    const [a, b, c] = [plan('a'), plan('b'), plan('c')];
    const said = new Map<string, number | null>();
    for (const [channel, value] of [
      ['a', 24],
      ['b', 24.2],
      ['c', 27],
    ] as const)
      for (const one of [a, b, c]) {
        const distance = one!.read(channel, minuteMs, value);
        if (distance !== null) said.set(channel, distance);
      }
    expect(said.get('c')).toBeCloseTo(2.8);
  });

  test('one that was not heard for long is left out', () => {
    const signal = disagreementPlan('a', [{ channel: 'b', everyMs: minuteMs }]).create();
    signal.read('b', 0, 24);
    expect(signal.read('a', hourMs, 30)).toBeNull();
  });
});
