import { expect, test } from 'vitest';
import { createChangeFeed } from '../../../../collector/live/change-feed.ts';
import type { LiveChange, PartHealth } from '../../../../shared/live.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { LiveValue } from '../../../../shared/readings.ts';

const value = (t: number): LiveValue => ({ t, value: t, quality: 'good', trendPerH: null, silent: false });

function openFeed() {
  const clock = createManualClock(5_000_000);
  const pace = createManualClock(1_000_000);
  const errors: unknown[] = [];
  const asked: number[] = [];
  const feed = createChangeFeed({
    clock,
    pace,
    gapMs: 100,
    alarms: () => {
      asked.push(pace.now());
      return [];
    },
    onListenerError: (thrown) => errors.push(thrown),
  });
  const seen: LiveChange[] = [];
  feed.listen((change) => seen.push(change));
  return { clock, pace, feed, seen, errors, asked };
}

test('the first change after a quiet spell leaves at once, stamped with the time of the site', () => {
  const { pace, feed, seen } = openFeed();
  feed.change({ channels: { a: value(1) } });
  pace.advanceBy(0);
  expect(seen).toEqual([{ now: 5_000_000, channels: { a: value(1) } }]);
});

test('a burst within the gap costs one more message that holds the newest of each channel', () => {
  const { pace, feed, seen } = openFeed();
  feed.change({ channels: { a: value(1) } });
  pace.advanceBy(0);
  feed.change({ channels: { a: value(2) } });
  feed.change({ channels: { b: value(3) } });
  feed.change({ channels: { a: value(4) } });
  pace.advanceBy(99);
  expect(seen).toHaveLength(1);
  pace.advanceBy(1);
  expect(seen[1]?.channels).toEqual({ a: value(4), b: value(3) });
  pace.advanceBy(1_000);
  expect(seen).toHaveLength(2);
});

test('whole slices are replaced, ended cohorts are gathered', () => {
  const { pace, feed, seen } = openFeed();
  const part = (state: PartHealth['state']): PartHealth => ({ part: 'broker', state, text: '', since: 0 });
  feed.change({ parts: [part('failed')], endedCohorts: ['x/1'] });
  feed.change({ parts: [part('ok')], endedCohorts: ['y/1', 'x/1'] });
  pace.advanceBy(0);
  expect(seen[0]?.parts).toEqual([part('ok')]);
  expect(seen[0]?.endedCohorts).toEqual(['x/1', 'y/1']);
});

test('a screen that fails does not keep the others from hearing', () => {
  const { pace, feed, seen, errors } = openFeed();
  const heard: number[] = [];
  feed.listen(() => {
    throw new Error('socket gone');
  });
  feed.listen((change) => heard.push(change.now));
  feed.change({ notices: [] });
  pace.advanceBy(0);
  expect(seen).toHaveLength(1);
  expect(heard).toHaveLength(1);
  expect(errors).toHaveLength(1);
});

test('nothing is gathered while nobody listens, nor after closing', () => {
  const pace = createManualClock(0);
  const feed = createChangeFeed({ clock: pace, pace, alarms: () => [], onListenerError: () => {} });
  feed.change({ notices: [] });
  const seen: LiveChange[] = [];
  feed.listen((change) => seen.push(change));
  pace.advanceBy(1_000);
  expect(seen).toEqual([]);
  feed.change({ notices: [] });
  feed.close();
  pace.advanceBy(1_000);
  expect(seen).toEqual([]);
});

test('says whether any screen is open, so that nothing is worked out for nobody', () => {
  const feed = createChangeFeed({
    clock: createManualClock(0),
    pace: createManualClock(0),
    alarms: () => [],
    onListenerError: () => {},
  });
  expect(feed.heard()).toBe(false);
  const leave = feed.listen(() => {});
  expect(feed.heard()).toBe(true);
  leave();
  expect(feed.heard()).toBe(false);
});

test('a thousand alarms that move at once are worked out once', () => {
  const { pace, feed, seen, asked } = openFeed();
  for (let n = 0; n < 1_000; n++) feed.alarmsMoved();
  pace.advanceBy(1_000);
  expect(asked).toHaveLength(1);
  expect(seen).toEqual([{ now: 5_000_000, alarms: [] }]);
});
