import { describe, expect, test } from 'vitest';
import { definitionsOf } from '../../../alerts/definitions/definitions.ts';
import { titlesAgainstCooling } from '../../../alerts/definitions/unloads.ts';
import { createReplay } from '../../../alerts/tuning/replay.ts';
import type { Reading } from '../../../shared/readings.ts';
import { hourMs, minuteMs } from '../../../shared/time.ts';
import type { WatchedUnload } from '../../../shared/unload/watched.ts';
import { alarmSite, smallFarm, startAt } from '../../tools/alarm-site.ts';

const high = 'high/warm-room.temperature';
const outer = 'high-high/warm-room.temperature';
const beyond = 'unload-beyond/warm-room';

const unload = (more: Partial<WatchedUnload> = {}): WatchedUnload => ({
  ...{ id: 'unload-1', room: 'warm-room', load: '40 × Block 2.3 kg', at: startAt },
  ...{ heldUntil: startAt + 3 * hourMs, beyondK: 0, slowK: null, warmK: null, overdueMin: -180 },
  probe: null,
  ...more,
});
const tooWarm = { 'warm-air.temperature': 30, 'a1.temperature': 30 };

test('a declared unload answers the high alarms of its room, and of no other', () => {
  const site = alarmSite();
  site.unloads.push(unload());
  site.hold(tooWarm, 600);
  expect(site.state(high)).toBe('suppressed');
  expect(site.outbox()).toEqual([]);
  const { heldBackBy } = site.book.detail(high);
  expect(heldBackBy).toEqual([
    { alarm: 'unload/warm-room', title: 'A hot load cools here: 40 × Block 2.3 kg' },
  ]);
  // Its shelf with a limit of its own is in the room as well.
  site.hold({ ...tooWarm, 'a2.temperature': 30 }, 600);
  expect(site.state('high/A2.temperature')).toBe('suppressed');
  site.hold({ ...tooWarm, 'warm-air.humidity': 95 }, 600);
  expect(site.state('high/warm-room.humidity')).toBe('unacknowledged');
});

test('alarms that speak against the cooling of a room are told to who plans there, and no others', () => {
  const site = alarmSite();
  const titles = () => titlesAgainstCooling(site.book.views(), 'warm-room');
  expect(titles()).toEqual([]);
  site.hold({ ...tooWarm, 'warm-air.humidity': 95 }, 600);
  expect(site.state('high/warm-room.humidity')).toBe('unacknowledged');
  expect(titles()).toEqual([expect.stringMatching(/^Warm room too warm: 30\.0 °C/)]);
  expect(titlesAgainstCooling(site.book.views(), 'cold-room')).toEqual([]);
  // Shelved it is as true as before; what a load that was declared explains is not.
  site.book.act(high, { act: 'shelve', forMinutes: 60, oneShot: false, why: 'seen' }, 'Rowan');
  expect(titles()).toHaveLength(1);
  site.book.act(high, { act: 'unshelve' }, 'Rowan');
  site.unloads.push(unload());
  site.hold(tooWarm, 120);
  expect(site.state(high)).toBe('suppressed');
  expect(titles()).toEqual([]);
  site.unloads.splice(0, 1, unload({ beyondK: 2 }));
  site.hold(tooWarm, 300);
  expect(titles()).toEqual([expect.stringMatching(/above the most that this unload was planned to bring/)]);
});

test('what it answers is warmth alone: limits, their warnings, fast rises and a cooler that does not help', () => {
  const [warm, ...rest] = smallFarm().file.rooms;
  const temperature = { ...warm!.limits.temperature, risePerH: 3, fallPerH: 3, lowLow: 15 };
  const rooms = [{ ...warm!, limits: { ...warm!.limits, temperature } }, ...rest];
  const { signals } = definitionsOf(smallFarm({ rooms }));
  const answered = signals.filter(({ causes }) => causes.includes('unload/warm-room'));
  expect(new Set(answered.map(({ id }) => id))).toEqual(
    new Set([
      ...[high, outer, 'rises-fast/warm-room.temperature', 'predicted-high/warm-room.temperature'],
      ...['high/A2.temperature', 'high-high/A2.temperature', 'predicted-high/A2.temperature'],
      ...['rises-fast/A2.temperature', 'no-cooling/warm-room'],
    ]),
  );
  expect(answered.every(({ causes, room }) => causes.includes(beyond) && room === 'warm-room')).toBe(true);
});

test('declared while an alarm rings, it takes the alarm back; over while it is still warm, it rings again', () => {
  const site = alarmSite();
  site.hold(tooWarm, 300);
  expect(site.state(high)).toBe('unacknowledged');
  site.unloads.push(unload({ heldUntil: site.clock.now() + 30 * minuteMs }));
  site.hold(tooWarm, 60);
  expect(site.state(high)).toBe('suppressed');
  site.hold(tooWarm, 30 * 60);
  expect(site.state(high)).toBe('unacknowledged');
  expect(site.events(high)).toEqual(['raised', 'suppressed', 'released']);
});

test('what held an alarm back through a restart still holds it, and lets it go when it is no more', () => {
  const site = alarmSite();
  site.unloads.push(unload());
  site.hold(tooWarm, 300);
  site.restart();
  expect(site.state(high)).toBe('suppressed');
  site.unloads.pop();
  site.restart();
  expect(site.state(high)).toBe('unacknowledged');
});

test('a load that nobody can hold against a plan answers alarms for a quarter of an hour and no longer', () => {
  const site = alarmSite();
  site.unloads.push(unload({ beyondK: null }));
  site.hold(tooWarm, 10 * 60);
  expect(site.state(high)).toBe('suppressed');
  site.hold(tooWarm, 6 * 60);
  expect(site.state(high)).toBe('unacknowledged');
  // The sensor speaks again, or the plan is there.
  site.unloads[0] = unload({ beyondK: 0 });
  site.hold(tooWarm, 60);
  expect(site.state(high)).toBe('suppressed');
  site.unloads[0] = unload({ beyondK: null });
  site.hold(tooWarm, 10 * 60);
  expect(site.state(high)).toBe('suppressed');
});

describe('limits tried on a past with unloads in it', () => {
  /** A site whose readings are put down, and the alarms of the live run beside those of a replay of them. */
  const recording = () => {
    const site = alarmSite();
    const readings: Reading[] = [];
    const read = site.read;
    site.read = (...some) => {
      readings.push(...some);
      read(...some);
    };
    const both = () => {
      const { signals } = definitionsOf(site.farm);
      const replay = createReplay(site.farm, signals, startAt, site.book.held());
      for (const reading of readings) replay.read(reading.channel, reading);
      const lines = [site.book.journal({ limit: 1000 }).reverse(), replay.finish(site.clock.now())];
      return lines.map((of) => of.map(({ t, alarm, event, to }) => ({ t, alarm, event, to })));
    };
    return { site, both };
  };

  test('a load without a plan holds alarms back there for as long as it did, and rings them when it did', () => {
    const { site, both } = recording();
    site.unloads.push(unload({ beyondK: null }));
    site.hold(tooWarm, 40 * 60);
    expect(site.state(high)).toBe('unacknowledged');
    const [live, replayed] = both();
    expect(replayed).toEqual(live);
    expect(live!.find(({ alarm, event }) => alarm === high && event === 'released')?.t).toBe(
      site.book.held()[0]!.to,
    );
    expect(site.book.held()).toMatchObject([{ room: 'warm-room', from: startAt + 1000 }]);
    expect(site.book.held()[0]!.to).toBe(startAt + 1000 + 15 * minuteMs);
  });

  test('a plan that came late, a restart and an end by hand count as they came about', () => {
    const { site, both } = recording();
    site.unloads.push(unload({ beyondK: null }));
    site.hold(tooWarm, 20 * 60);
    site.unloads[0] = unload();
    site.hold(tooWarm, 20 * 60);
    site.restart();
    site.hold(tooWarm, 20 * 60);
    site.unloads.pop();
    site.hold(tooWarm, 10 * 60);
    const [live, replayed] = both();
    expect(replayed).toEqual(live);
    expect(site.book.held().map(({ from, to }) => Math.round((to - from) / minuteMs))).toEqual([15, 40]);
  });

  test('one that stands there still has no end; one that went while nobody watched ends at the next start', () => {
    const { site } = recording();
    site.unloads.push(unload());
    site.hold({}, 60);
    expect(site.book.held()).toEqual([
      { room: 'warm-room', from: startAt + 1000, to: Number.POSITIVE_INFINITY },
    ]);
    site.unloads.pop();
    site.clock.advanceBy(minuteMs);
    site.restart();
    expect(site.book.held()[0]!.to).toBe(site.clock.now());
  });
});

test('an end that cannot be written lets the alarm go as soon as it can', () => {
  const site = alarmSite();
  site.unloads.push(unload());
  site.hold(tooWarm, 300);
  site.unloads.pop();
  site.database.exec(`CREATE TEMP TRIGGER full BEFORE INSERT ON alarm_journal
    BEGIN SELECT RAISE(ABORT, 'the disk is full'); END`);
  expect(() => site.run(1)).toThrow('disk is full');
  expect(site.state(high)).toBe('suppressed');
  site.database.exec('DROP TRIGGER full');
  site.run(1);
  expect(site.state(high)).toBe('unacknowledged');
});

test('beyond its plan for three minutes it rings as one alarm, in place of the high ones', () => {
  const site = alarmSite();
  site.unloads.push(unload());
  const hot = { 'warm-air.temperature': 33, 'a1.temperature': 33 };
  site.hold(hot, 300);
  site.unloads[0] = unload({ beyondK: 1.4 });
  site.hold(hot, 120);
  expect(site.state(beyond)).toBe('normal');
  site.hold(hot, 180);
  expect(site.book.view(beyond)).toMatchObject({
    state: 'unacknowledged',
    priority: 1,
    title: 'Warm room: 1.4 K above the most that this unload was planned to bring (40 × Block 2.3 kg)',
  });
  // Two limits are passed, and one message goes out.
  expect([site.state(high), site.state(outer)]).toEqual(['suppressed', 'suppressed']);
  expect(new Set(site.outbox().map(({ alarm }) => alarm))).toEqual(new Set([beyond]));
  // Also when the plan's time is over: what rings says it all.
  site.unloads[0] = unload({ beyondK: 1.4, heldUntil: site.clock.now() });
  site.hold(hot, 60);
  expect([site.state(high), site.state(outer)]).toEqual(['suppressed', 'suppressed']);

  site.unloads[0] = unload({ beyondK: 0 });
  site.hold(hot, 420);
  expect(site.state(beyond)).toBe('returned-unacknowledged');
});

test('a past unload that nobody ended and one that cools too slowly are told once, and end themselves', () => {
  const site = alarmSite();
  site.unloads.push(unload({ overdueMin: 31, heldUntil: startAt - 31 * minuteMs, slowK: 2 }));
  site.hold({}, 15 * 60);
  expect(site.state('unload-forgotten/warm-room')).toBe('unacknowledged');
  expect(site.book.view('unload-slow/warm-room').title).toMatch(/2\.0 K warmer than planned/);
  site.unloads.pop();
  site.hold({}, 12 * 60);
  expect(site.state('unload-forgotten/warm-room')).toBe('normal');
  expect(site.state('unload-slow/warm-room')).toBe('normal');
});

test('making batches of a load that is hot inside rings at the next minute', () => {
  const site = alarmSite();
  site.unloads.push(unload({ warmK: 18 }));
  site.run(61);
  expect(site.book.view('unload-warm/warm-room')).toMatchObject({
    state: 'unacknowledged',
    priority: 2,
    title:
      'Warm room: batches are being made, and the load is still 18.0 K too warm inside (40 × Block 2.3 kg)',
  });
  // Nobody makes any more of it.
  site.unloads[0] = unload({ warmK: null });
  site.run(61);
  expect(site.state('unload-warm/warm-room')).toBe('normal');
});

test('what nobody can know of a load rings for nothing', () => {
  const site = alarmSite();
  site.unloads.push(unload({ beyondK: null, slowK: null }));
  site.hold({}, 20 * 60);
  expect(site.book.views()).toEqual([]);
});

describe('beyond its plan, and shelved by a person', () => {
  const hot = { 'warm-air.temperature': 33, 'a1.temperature': 33 };
  const rings = (site: ReturnType<typeof alarmSite>, alarm: string) =>
    new Set(
      site
        .outbox()
        .filter((line) => line.alarm === alarm)
        .map(({ message }) => message),
    ).size;
  const shelved = () => {
    const site = alarmSite();
    site.unloads.push(unload({ beyondK: 1.4, heldUntil: startAt + 8 * hourMs }));
    site.hold(hot, 300);
    expect([site.state(beyond), site.state(high)]).toEqual(['unacknowledged', 'suppressed']);
    site.book.act(beyond, { act: 'shelve', forMinutes: 60, oneShot: false, why: 'known' }, 'rowan');
    return site;
  };

  test('it leaves the high alarms to ring, each once', () => {
    const site = shelved();
    expect([site.state(beyond), site.state(high), site.state(outer)]).toEqual([
      'shelved',
      'unacknowledged',
      'unacknowledged',
    ]);
    site.hold(hot, 600);
    site.restart();
    site.hold(hot, 600);
    expect(site.state(high)).toBe('unacknowledged');
    expect([rings(site, beyond), rings(site, high), rings(site, outer)]).toEqual([1, 1, 1]);
    // One that is raised only now rings as well: 33 °C lies beyond what shelf A2 may have.
    site.hold({ ...hot, 'a2.temperature': 33 }, 300);
    expect(site.state('high/A2.temperature')).toBe('unacknowledged');
  });

  test('unshelved, it rings alone again', () => {
    const site = shelved();
    site.hold(hot, 300);
    site.book.act(beyond, { act: 'unshelve' }, 'rowan');
    expect([site.state(beyond), site.state(high), site.state(outer)]).toEqual([
      'unacknowledged',
      'suppressed',
      'suppressed',
    ]);
    site.hold(hot, 600);
    expect([rings(site, beyond), rings(site, high), rings(site, outer)]).toEqual([2, 1, 1]);
  });

  test('within its plan again, the unload answers the high alarms without a ring', () => {
    const site = shelved();
    site.hold(hot, 300);
    site.unloads[0] = unload({ heldUntil: startAt + 8 * hourMs });
    site.hold(hot, 420);
    expect([site.state(beyond), site.state(high)]).toEqual(['shelved', 'suppressed']);
    site.hold(hot, 50 * 60);
    expect([site.state(beyond), site.state(high)]).toEqual(['normal', 'suppressed']);
    expect([rings(site, beyond), rings(site, high)]).toEqual([1, 1]);
  });

  test('the unload ends: what still holds goes on ringing, and once', () => {
    const site = shelved();
    site.hold(hot, 300);
    site.unloads.pop();
    site.hold(hot, 420);
    expect([site.state(beyond), site.state(high)]).toEqual(['shelved', 'unacknowledged']);
    expect(rings(site, high)).toBe(1);
  });

  test('out of service it leaves them to ring too', () => {
    const site = alarmSite();
    site.unloads.push(unload({ beyondK: 1.4, heldUntil: startAt + 8 * hourMs }));
    site.hold(hot, 300);
    site.book.act(beyond, { act: 'take-out-of-service', why: 'no plan fits' }, 'rowan');
    expect(site.state(high)).toBe('unacknowledged');
  });
});

test('unshelved or not, within its plan again the unload answers alarms with no ring in between', () => {
  const site = alarmSite();
  site.unloads.push(unload({ beyondK: 1.4, heldUntil: startAt + 8 * hourMs }));
  const hot = { 'warm-air.temperature': 33, 'a1.temperature': 33 };
  site.hold(hot, 300);
  site.unloads[0] = unload({ heldUntil: startAt + 8 * hourMs });
  site.hold(hot, 420);
  expect([site.state(beyond), site.state(high)]).toEqual(['returned-unacknowledged', 'suppressed']);
  expect(new Set(site.outbox().map(({ alarm }) => alarm))).toEqual(new Set([beyond]));
});
