import { describe, expect, it, vi } from 'vitest';
import type { BagEvent } from '../../../shared/bags.ts';
import { createManualClock } from '../../../shared/manual-clock.ts';
import { dayMs, hourMs } from '../../../shared/time.ts';
import { trainingWeeks } from '../../../simulator/scenarios/weeks.ts';
import type { SensorMessage } from '../../../simulator/sensor/sensor.ts';
import { createTrainingRun, trainingTimes } from '../../../simulator/training/run.ts';
import { createScaledClock } from '../../../simulator/training/scaled-clock.ts';
import { someMorning } from '../../unit/simulator/helpers.ts';

vi.setConfig({ testTimeout: 120_000 });

const begin = (weekId: string) => {
  const week = trainingWeeks.find(({ id }) => id === weekId)!;
  const times = trainingTimes(week, someMorning);
  const base = createManualClock(0);
  const clock = createScaledClock({
    base,
    startAt: times.leadInFrom,
    speed: 500,
    paused: true,
    onError: (error) => {
      throw error;
    },
  });
  const messages: SensorMessage[] = [];
  const events: BagEvent[] = [];
  let ended = 0;
  const run = createTrainingRun({
    recordUnload() {},
    week,
    seed: 11,
    times,
    clock,
    deliver: (some) => messages.push(...some),
    record: (one) => events.push(one),
    onEnded: () => {
      ended += 1;
    },
  });
  const runThrough = () => {
    for (const _ of run.prepare());
    expect(clock.now()).toBe(times.startsAt);
    const before = { messages: messages.length, events: events.length };
    run.start();
    clock.setPaused(false);
    base.advanceBy((8 * dayMs) / 500);
    return before;
  };
  return { times, clock, run, messages, events, runThrough, ended: () => ended };
};

describe('a training run', () => {
  it('begins on a Monday at six in the morning with full shelves', () => {
    const { times, run, events } = begin('quiet');
    // The sun at Fernhollow is an hour ahead of UTC.
    expect(new Date(times.startsAt + hourMs).toISOString()).toMatch(/T06:00:00/);
    expect(new Date(times.startsAt + hourMs).getUTCDay()).toBe(1);
    expect(times.startsAt).toBeLessThan(someMorning);
    for (const _ of run.prepare());
    expect(new Set(events.map(({ batch }) => batch)).size).toBeGreaterThan(15);
    expect(events.every(({ t }) => t >= times.leadInFrom && t <= times.startsAt)).toBe(true);
  });

  it('tells every minute of the week in order, ends once, and a quiet week has nothing to report', () => {
    const { times, clock, run, messages, events, runThrough, ended } = begin('quiet');
    const before = runThrough();
    expect(ended()).toBe(1);
    expect(clock.paused()).toBe(true);
    expect(clock.now()).toBeGreaterThanOrEqual(times.endsAt);
    const week = messages.slice(before.messages).map(({ t }) => t);
    expect(week).toEqual([...week].sort((a, b) => a - b));
    expect(week.length).toBeGreaterThan(14 * 6.7 * 24 * 60);
    expect(week[0]! - times.startsAt).toBeLessThan(2 * 60_000);
    const acts = new Set(events.slice(before.events).map(({ kind }) => kind));
    expect([...acts]).toEqual(['checked']);
    expect(run.report([])).toEqual([]);
  });

  it('reports the cooler that stopped and the room that passed its limit after it', () => {
    const { times, run, runThrough } = begin('cooling-fails-at-night');
    runThrough();
    const report = run.report([]);
    expect(report[0]!.what).toContain('cooler of the Warm room stopped');
    expect(report[0]!.t).toBe(times.startsAt - 6 * hourMs + (2 * 24 + 21.5) * hourMs);
    const crossed = report.find(({ what }) => what.includes('passed 28 °C'))!;
    expect(crossed.t).toBeGreaterThan(report[0]!.t + 20 * 60_000);
    expect(crossed.t).toBeLessThan(report[0]!.t + 12 * hourMs);
  });
});
