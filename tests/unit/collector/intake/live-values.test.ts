import { afterEach, describe, expect, it } from 'vitest';
import { createLiveValues } from '../../../../collector/intake/live-values.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { Reading } from '../../../../shared/readings.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { smallFarm } from '../../../tools/small-farm.ts';

const start = Date.UTC(2026, 2, 1, 12);
const farmWith = (everyS: number) =>
  smallFarm(
    ['a', 'b'].map((id) => ({
      id,
      topic: id,
      decoder: 'plain' as const,
      at: 'warm',
      everyS,
      channels: [{ quantity: 'temperature' as const, unit: 'degC' as const }],
    })),
  );

const closers: (() => void)[] = [];
afterEach(() => {
  for (const close of closers.splice(0)) close();
});

function rig(everyS = 60) {
  const clock = createManualClock(start);
  const live = createLiveValues({ farm: farmWith(everyS), clock });
  closers.push(live.close);
  const turned: string[][] = [];
  live.onSilence((channels) => turned.push([...channels]));
  const apply = (value: number, more: Partial<Reading> = {}) =>
    live.apply({
      channel: 'a.temperature',
      t: clock.now(),
      value,
      raw: value,
      quality: 'good',
      retained: false,
      receivedAt: clock.now(),
      ...more,
    });
  return { clock, live, turned, apply };
}

describe('the newest value', () => {
  it('is shown at once after the clock was set back, and one a little ahead of it is kept', () => {
    const { live, apply } = rig();
    apply(24, { t: start + 3 * hourMs });
    apply(21);
    expect(live.value('a.temperature')).toMatchObject({ value: 21, t: start });
    apply(22, { t: start + minuteMs });
    apply(23, { t: start + 30_000 });
    expect(live.value('a.temperature')).toMatchObject({ value: 22, t: start + minuteMs });
  });

  it('is not moved back by a late one', () => {
    const { live, apply } = rig();
    apply(24);
    apply(19, { t: start - hourMs });
    expect(live.value('a.temperature')).toMatchObject({ t: start, value: 24 });
  });

  it('carries its quality', () => {
    const { live, apply } = rig();
    apply(300, { quality: 'out-of-range' });
    expect(live.value('a.temperature')).toMatchObject({ value: 300, quality: 'out-of-range' });
  });

  it('is none for a channel that never spoke, and not listed', () => {
    const { live } = rig();
    expect(live.value('a.temperature')).toBeUndefined();
    expect(live.value('none.temperature')).toBeUndefined();
    expect(live.all()).toEqual({});
  });

  it('of a channel the farm does not know is let go', () => {
    const { live, apply } = rig();
    apply(24, { channel: 'gone.temperature' });
    expect(live.all()).toEqual({});
  });

  it('stays through a reload of the farm, and goes with its sensor', () => {
    const { live, apply } = rig();
    apply(24);
    live.setFarm(farmWith(30));
    expect(live.value('a.temperature')?.value).toBe(24);
    live.setFarm(smallFarm([]));
    expect(live.all()).toEqual({});
  });
});

describe('silence', () => {
  it('begins after two expected periods and ends with a fresh reading', () => {
    const { clock, live, turned, apply } = rig();
    apply(24);
    clock.advanceBy(2 * minuteMs);
    expect(live.value('a.temperature')?.silent).toBe(false);
    clock.advanceBy(5000);
    expect(live.value('a.temperature')?.silent).toBe(true);
    expect(turned).toEqual([['a.temperature', 'b.temperature']]);
    apply(25);
    expect(live.value('a.temperature')?.silent).toBe(false);
    clock.advanceBy(5000);
    expect(turned[1]).toEqual(['a.temperature']);
  });

  it('also counts for a channel that never spoke', () => {
    const { clock, live } = rig();
    clock.advanceBy(10 * minuteMs);
    expect(live.silent('b.temperature')).toBe(true);
  });

  it('is not ended by a retained value', () => {
    const { clock, live, apply } = rig();
    clock.advanceBy(10 * minuteMs);
    apply(24, { retained: true });
    expect(live.value('a.temperature')).toMatchObject({ value: 24, silent: true });
  });

  it('is not ended by history that comes in late', () => {
    const { clock, live, apply } = rig();
    apply(24);
    clock.advanceBy(10 * minuteMs);
    apply(19, { t: start - hourMs });
    expect(live.silent('a.temperature')).toBe(true);
  });

  it('is counted from the start after values were restored', () => {
    const { clock, live } = rig();
    live.restore([{ channel: 'a.temperature', t: start - hourMs, value: 22, quality: 'good' }]);
    clock.advanceBy(minuteMs);
    expect(live.value('a.temperature')).toMatchObject({ value: 22, silent: false });
    clock.advanceBy(2 * minuteMs);
    expect(live.value('a.temperature')?.silent).toBe(true);
  });
});

describe('trend', () => {
  const fill = (
    apply: ReturnType<typeof rig>['apply'],
    clock: ReturnType<typeof rig>['clock'],
    count: number,
  ) => {
    for (let minute = 0; minute < count; minute++) {
      apply(20 + minute / 60);
      clock.advanceBy(minuteMs);
    }
  };

  it('is unknown until a third of the window is seen', () => {
    const { clock, live, apply } = rig();
    fill(apply, clock, 10);
    expect(live.value('a.temperature')?.trendPerH).toBeNull();
    fill(apply, clock, 2);
    expect(live.value('a.temperature')?.trendPerH).not.toBeNull();
  });

  it('is the change per hour', () => {
    const { clock, live, apply } = rig();
    fill(apply, clock, 30);
    expect(live.value('a.temperature')?.trendPerH).toBeCloseTo(1, 6);
  });

  it('is not moved by a few wild values nor by marked ones', () => {
    const { clock, live, apply } = rig();
    fill(apply, clock, 30);
    apply(90);
    apply(300, { quality: 'out-of-range', t: clock.now() - 20 * minuteMs - 1 });
    expect(live.value('a.temperature')?.trendPerH).toBeCloseTo(1, 1);
  });

  it('takes late readings in', () => {
    const { clock, live, apply } = rig();
    clock.advanceBy(30 * minuteMs);
    for (let minute = 29; minute >= 0; minute--)
      apply(20 - minute / 30, { t: clock.now() - minute * minuteMs });
    expect(live.value('a.temperature')?.trendPerH).toBeCloseTo(2, 6);
  });

  it('fades to unknown as the window empties', () => {
    const { clock, live, apply } = rig();
    fill(apply, clock, 30);
    clock.advanceBy(40 * minuteMs);
    expect(live.value('a.temperature')?.trendPerH).toBeNull();
  });

  it('looks back over six periods of a sensor that sends rarely', () => {
    const { clock, live, apply } = rig(1800);
    for (let turn = 0; turn < 6; turn++) {
      apply(20 + turn / 2);
      clock.advanceBy(30 * minuteMs);
    }
    expect(live.value('a.temperature')?.trendPerH).toBeCloseTo(1, 6);
  });
});
