import { describe, expect, it } from 'vitest';
import {
  coolersNow,
  nowWords,
  pastWords,
  stateWords,
} from '../../../../../dashboard/web/room/cooler-words.ts';
import type { LiveValue, Series } from '../../../../../shared/readings.ts';
import { dayMs, hourMs, minuteMs } from '../../../../../shared/time.ts';
import { fernhollow } from '../../../../browser/fixture/farm.ts';

const now = Date.UTC(2026, 2, 2, 12);
const value = (percent: number, more: Partial<LiveValue> = {}): LiveValue => ({
  ...{ t: now - 12 * minuteMs, value: percent, quality: 'good', trendPerH: null, silent: false },
  ...more,
});
const coolers = ['one', 'two'].map((sensor) => ({
  ...{ id: `${sensor}.cooler-on`, quantity: 'cooler-on' as const, unit: '%', sensor },
  ...{ room: 'cool', shelf: null, everyS: 60 },
}));
const live = (channels: Record<string, LiveValue>, count = 1) => ({
  farm: { ...fernhollow, channels: coolers.slice(0, count) },
  channels,
});

describe('what coolers do now', () => {
  it('is said of a room in a few words, of each where there are several', () => {
    expect(coolersNow(live({ 'one.cooler-on': value(100) }), 'cool')).toBe('Cooler on');
    expect(coolersNow(live({ 'one.cooler-on': value(0) }), 'cool')).toBe('Cooler off');
    expect(coolersNow(live({ 'one.cooler-on': value(40) }), 'cool')).toBe('Cooler on 40\u00a0% of the time');
    expect(coolersNow(live({ 'one.cooler-on': value(100, { silent: true }) }), 'cool')).toBe('Cooler silent');
    expect(coolersNow(live({ 'one.cooler-on': value(0) }, 2), 'cool')).toBe('Coolers: off, silent');
    expect(coolersNow(live({ 'one.cooler-on': value(0) }), 'warm')).toBeNull();
  });

  it('is a sentence of its own where there is room, and never a state that nobody knows', () => {
    expect(nowWords(value(100), now)).toBe('Runs now.');
    expect(nowWords(value(0), now)).toBe('Rests now.');
    expect(nowWords(value(25), now)).toBe('Says that it is on 25\u00a0% of the time.');
    expect(nowWords(value(100, { silent: true }), now)).toBe(
      'Silent for 12\u00a0min: whether it runs is not known.',
    );
    expect(nowWords(value(300, { quality: 'out-of-range' }), now)).toMatch(/not known/);
    expect(nowWords(undefined, now)).toBe('Nothing was heard of it yet.');
    expect([0, 100, 12.4].map(stateWords)).toEqual(['off', 'on', 'on 12\u00a0% of the time']);
  });
});

describe('what a cooler did', () => {
  /** On for the last half hour, else off, as far back as it is known. */
  const series = (knownMs: number, until = now): Series => ({
    channel: 'one.cooler-on',
    bucketMs: 5 * minuteMs,
    points: Array.from({ length: knownMs / (5 * minuteMs) }, (_, at) => {
      const t = until - knownMs + at * 5 * minuteMs;
      const mean = t >= now - 30 * minuteMs ? 100 : 0;
      return { t, count: 1, min: mean, max: mean, mean, last: mean, marked: 0 };
    }),
  });

  it('is told of the last hour and the last day', () => {
    expect(pastWords(series(dayMs), now)).toBe(
      'On for 50\u00a0% of the last hour and 2\u00a0% of the last day.',
    );
  });

  it('says how much of the day is known where that is little', () => {
    expect(pastWords(series(6 * hourMs), now)).toBe(
      'On for 50\u00a0% of the last hour and 8\u00a0% of the last day. Of that day 6\u00a0h are known.',
    );
    expect(pastWords(series(6 * hourMs, now - 2 * hourMs), now)).toBe(
      'On for 0\u00a0% of the last day. Of that day 6\u00a0h are known.',
    );
    expect(pastWords(series(0), now)).toBeNull();
  });
});
