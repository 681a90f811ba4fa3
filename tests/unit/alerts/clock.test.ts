import { expect, test } from 'vitest';
import { createManualClock } from '../../../shared/manual-clock.ts';
import { hourMs, minuteMs } from '../../../shared/time.ts';
import { alarmSite, startAt } from '../../tools/alarm-site.ts';

const warm = 'warm-air.temperature';
const highWarm = 'high/warm-room.temperature';

test('a clock set back by hours: limits are judged at once, and a shelving ends when it was to end', () => {
  const site = alarmSite();
  site.hold({ [warm]: 29 }, 120);
  site.book.act(highWarm, { act: 'shelve', forMinutes: 10, oneShot: false, why: 'door propped' }, 'rowan');
  // The manual clock only goes forward, so a second one stands for the same clock after it was set.
  const earlier = createManualClock(site.clock.now() - 3 * hourMs);
  const { now } = site.clock;
  site.clock.now = earlier.now;
  site.book.tick(earlier.now());
  expect(site.book.view('system/clock').title).toBe('The clock was set back by 3 h');
  site.clock.now = now;
  for (let second = 0; second < 11 * 60; second += 30) {
    earlier.advanceBy(30_000);
    site.clock.now = earlier.now;
    site.book.tick(earlier.now());
    for (const id of [warm, 'warm-air.humidity', 'a1.temperature', 'a2.temperature'])
      site.say(id, id === warm ? 33 : 24 + (second % 60) / 100);
    if (second === 5 * 60) expect(site.state(highWarm)).toBe('shelved');
  }
  expect(site.state('high-high/warm-room.temperature')).toBe('unacknowledged');
  expect(site.state(highWarm)).toBe('unacknowledged');
  expect(site.state('silent/warm-air')).toBe('normal');
});

test('after hours in which it did not run it says so once, and not after an ordinary restart', () => {
  const site = alarmSite();
  site.hold({}, 120);
  site.clock.advanceBy(4 * minuteMs);
  site.restart();
  expect(site.book.views()).toEqual([]);
  site.hold({}, 120);
  site.clock.advanceBy(5 * hourMs);
  site.restart();
  expect(site.book.view('system/collector')).toMatchObject({ state: 'unacknowledged', priority: 2 });
  expect(site.book.view('system/collector').title).toMatch(/^Shelfwarden did not run for 5 h/);
  site.hold({}, 120);
  expect(site.state('system/collector')).toBe('returned-unacknowledged');
  site.restart();
  expect(site.events('system/collector')).toEqual(['raised', 'cleared']);
  expect(site.clock.now()).toBeGreaterThan(startAt);
});
