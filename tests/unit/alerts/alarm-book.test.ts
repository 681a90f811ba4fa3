import { describe, expect, test } from 'vitest';
import { createOutbox } from '../../../alerts/delivery/outbox.ts';
import type { AppError } from '../../../shared/errors.ts';
import {
  alarmDatabase,
  alarmSite,
  openAlarmDatabase,
  readingOf,
  smallFarm,
  startAt,
} from '../../tools/alarm-site.ts';

const warm = 'warm-air.temperature';
const highWarm = 'high/warm-room.temperature';

describe('a limit alarm', () => {
  test('rings after its delay, says what and where, and clears past the deadband', () => {
    const site = alarmSite();
    site.hold({ [warm]: 29.56 }, 60);
    expect(site.book.views()).toEqual([]);
    site.hold({ [warm]: 29.56 }, 30);
    const [view] = site.book.views();
    expect(view).toMatchObject({
      id: highWarm,
      state: 'unacknowledged',
      title: 'Warm room too warm: 29.6 °C, limit 28',
      priority: 2,
      ringing: true,
      channel: warm,
      room: 'warm-room',
      shelf: null,
      value: 29.56,
      limit: 28,
      raisedAt: startAt + 30_000,
      since: startAt + 90_000,
    });
    expect(view!.advice).not.toBe('');
    site.hold({ [warm]: 27.95 }, 120);
    expect(site.state(highWarm)).toBe('unacknowledged');
    site.hold({ [warm]: 27.5 }, 120);
    expect(site.book.view(highWarm)).toMatchObject({
      state: 'returned-unacknowledged',
      title: 'Warm room back in limits: 27.5 °C, limit 28, reached 29.6',
    });
    site.book.act(highWarm, { act: 'acknowledge' }, 'rowan');
    expect(site.book.views()).toEqual([]);
    expect(site.events(highWarm)).toEqual(['raised', 'cleared', 'acknowledged']);
    expect(site.book.journal({ alarm: highWarm, limit: 1 })[0]).toMatchObject({ who: 'rowan', value: 27.5 });
  });

  test('is one alarm for a room, named after its worst shelf', () => {
    const site = alarmSite();
    site.hold({ [warm]: 28.4, 'a1.temperature': 30.2 }, 120);
    expect(site.book.views()).toHaveLength(1);
    expect(site.book.view(highWarm).title).toBe('Warm room, shelf A1 too warm: 30.2 °C, limit 28');
    site.hold({ [warm]: 28.4, 'a1.temperature': 26 }, 120);
    expect(site.book.view(highWarm)).toMatchObject({
      state: 'unacknowledged',
      title: 'Warm room too warm: 28.4 °C, limit 28',
    });
  });

  test('of a shelf with limits of its own is apart, and keeps the other limits of the room', () => {
    const site = alarmSite();
    site.hold({ 'a2.temperature': 27 }, 120);
    expect(site.book.views().map(({ id, title, shelf }) => ({ id, title, shelf }))).toEqual([
      { id: 'high/A2.temperature', title: 'Shelf A2 too warm: 27.0 °C, limit 26', shelf: 'A2' },
    ]);
    site.hold({ 'a2.temperature': 19 }, 150);
    expect(site.state('low/A2.temperature')).toBe('unacknowledged');
  });

  test('follows its value while it is in view', () => {
    const site = alarmSite();
    site.hold({ [warm]: 29 }, 120);
    const before = site.told.changes;
    site.run(1);
    site.say(warm, 30.4);
    expect(site.book.view(highWarm).title).toBe('Warm room too warm: 30.4 °C, limit 28');
    expect(site.told.changes).toBe(before + 1);
    site.say(warm, 30.41, { t: site.clock.now() + 1 });
    expect(site.told.changes).toBe(before + 1);
  });

  test.each([
    ['suspect', { quality: 'suspect' }],
    ['out of range', { quality: 'out-of-range' }],
    ['retained', { retained: true }],
  ] as const)('is not raised by %s readings', (_, more) => {
    const site = alarmSite();
    for (let n = 0; n < 6; n += 1) {
      site.run(30);
      site.say(warm, 35, more);
    }
    expect(site.book.views().filter(({ id }) => id.startsWith('high'))).toEqual([]);
  });

  test('is not raised by a week of old readings that come at once; history is journalled, people are told once', () => {
    const site = alarmSite();
    site.clock.advanceBy(7 * 24 * 3_600_000);
    const now = site.clock.now();
    const backlog = Array.from({ length: (7 * 24 - 1) * 30 }, (_, n) => {
      const t = startAt + n * 120_000;
      const hot = Math.floor(n / 240) % 2 === 1 || n > 7 * 24 * 29;
      return readingOf(warm, hot ? 30 : 25, t, { receivedAt: now });
    });
    site.read(...backlog);
    expect(site.book.views()).toEqual([]);
    expect(site.outbox()).toEqual([]);
    expect(site.events(highWarm).filter((event) => event === 'late-raised').length).toBeGreaterThan(3);
    expect(site.events(highWarm)).not.toContain('raised');
    site.say(warm, 30);
    expect(site.state(highWarm)).toBe('unacknowledged');
    expect(site.outbox().map(({ alarm }) => alarm)).toEqual([highWarm]);
  });

  test('and a thousand at once are all written, the urgent ones first to be told', () => {
    const rooms = Array.from({ length: 1_000 }, (_, n) => n);
    const site = alarmSite(
      smallFarm({
        rooms: rooms.map((n) => ({
          id: `r${n}`,
          name: `Room ${n}`,
          limits: {
            temperature: { high: 28, onDelayS: 0, predict: false, priority: ((n % 3) + 1) as 1 | 2 | 3 },
          },
        })),
        sensors: rooms.map((n) => ({
          ...{ id: `s${n}`, topic: `s/${n}`, decoder: 'plain' as const, at: `r${n}` },
          channels: [{ quantity: 'temperature' as const, unit: 'degC' as const }],
        })),
      }),
    );
    const now = site.clock.now();
    site.read(...rooms.map((n) => readingOf(`s${n}.temperature`, 29, now)));
    const views = site.book.views();
    expect(views).toHaveLength(1_000);
    const priorities = views.map(({ priority }) => priority);
    expect(priorities).toEqual([...priorities].sort());
    expect(site.events()).toEqual(rooms.map(() => 'raised'));
    expect(new Set(site.outbox().map(({ alarm }) => alarm)).size).toBe(1_000);
    const first = createOutbox(site.database).due('email', now, 400);
    expect(first.slice(0, 334).every(({ priority }) => priority === 1)).toBe(true);
    expect(first[334]!.priority).toBe(2);
  });
});

describe('a silent sensor', () => {
  test('rings after two periods, once for all its channels, and ends when it speaks', () => {
    const site = alarmSite();
    site.hold({ [warm]: 25, 'a1.temperature': 25, 'a2.temperature': 25 }, 30);
    site.run(60, () => site.clock.now() % 2000 === 0 && site.say('a1.temperature', 25));
    expect(site.state('silent/warm-air')).toBe('normal');
    site.run(1);
    expect(site.book.view('silent/warm-air')).toMatchObject({
      state: 'unacknowledged',
      title: 'Sensor warm-air silent: nothing heard, expected every 30 s',
      raisedAt: startAt + 30_000,
    });
    expect(site.state('silent/a1')).toBe('normal');
    site.say(warm, 25, { retained: true });
    expect(site.state('silent/warm-air')).toBe('unacknowledged');
    site.say('warm-air.humidity', 70, { quality: 'suspect' });
    expect(site.state('silent/warm-air')).toBe('returned-unacknowledged');
  });

  test('is not suspected when the clock was stepped or the process slept', () => {
    const site = alarmSite();
    site.hold({ [warm]: 25, 'a1.temperature': 25, 'a2.temperature': 25 }, 30);
    site.clock.advanceBy(3 * 3_600_000);
    site.book.tick(site.clock.now());
    expect(site.book.views().map(({ title }) => title)).toEqual([
      'The clock went ahead by 3 h, or this computer slept: nothing was watched meanwhile',
    ]);
    site.run(61);
    expect(site.book.views().map(({ id, ringing }) => [id, ringing])).toEqual([
      ['silent-room/warm-room', true],
      ['system/clock', true],
      ['silent/warm-air', false],
      ['silent/a1', false],
      ['silent/a2', false],
    ]);
    expect(site.state('system/clock')).toBe('returned-unacknowledged');
  });
});

describe('memory and database', () => {
  test('state, shelving and pending delays come back after a restart', () => {
    const { database, file } = alarmDatabase();
    const site = alarmSite(smallFarm(), database);
    site.hold({ [warm]: 29, 'a2.temperature': 27 }, 90);
    site.book.act(highWarm, { act: 'acknowledge' }, 'rowan');
    site.book.act(
      'high/A2.temperature',
      { act: 'shelve', forMinutes: 30, oneShot: false, why: 'probe moved' },
      'ash',
    );
    site.hold({ [warm]: 33, 'a2.temperature': 27 }, 60);
    const before = site.book.views();
    site.restart();
    // A value that moved since the last transition is not kept; the next reading brings it.
    const lasting = before.map(({ value, title, ...rest }) => rest);
    expect(site.book.views()).toMatchObject(lasting);
    // The far limit was 30 s into its delay; the next reading completes it.
    site.hold({ [warm]: 33, 'a2.temperature': 27 }, 30);
    expect(site.state('high-high/warm-room.temperature')).toBe('unacknowledged');
    site.run(30 * 60);
    expect(site.state('high/A2.temperature')).toBe('unacknowledged');
    const other = openAlarmDatabase(file);
    const line = other.prepare(`SELECT who, why FROM alarm_journal WHERE event = 'shelved'`).get();
    other.close();
    expect(line).toEqual({ who: 'ash', why: 'probe moved' });
  });

  test('a rolled-back transaction leaves memory where the database is, and the redelivery counts once', () => {
    const site = alarmSite();
    site.hold({ [warm]: 29 }, 60);
    site.run(30);
    const last = readingOf(warm, 29, site.clock.now());
    expect(() =>
      site.database.transaction(() => {
        site.book.observe([last]);
        throw new Error('the disk is full');
      })(),
    ).toThrow('disk is full');
    expect(site.book.journal({ limit: 10 })).toEqual([]);
    site.read(last);
    expect(site.events(highWarm)).toEqual(['raised']);
    expect(site.state(highWarm)).toBe('unacknowledged');
    expect(site.outbox()).toHaveLength(1);
  });

  test('a rollback right after a good commit that nobody reported is seen too', () => {
    const site = alarmSite();
    site.run(30);
    site.database.transaction(() => site.book.observe([readingOf(warm, 29, site.clock.now())]))();
    const later = readingOf(warm, 29, site.clock.now() + 60_000, { receivedAt: site.clock.now() + 60_000 });
    expect(() =>
      site.database.transaction(() => {
        site.book.observe([later]);
        throw new Error('no');
      })(),
    ).toThrow('no');
    expect(site.book.view(highWarm).state === 'normal' || site.book.journal({ limit: 1 }).length === 1).toBe(
      true,
    );
    site.read(later);
    expect(site.events(highWarm)).toEqual(['raised']);
  });

  test('the journal cannot be changed or shortened', () => {
    const site = alarmSite();
    site.hold({ [warm]: 29 }, 120);
    for (const sql of [`UPDATE alarm_journal SET who = 'nobody'`, 'DELETE FROM alarm_journal'])
      expect(() => site.database.exec(sql)).toThrow('append-only');
  });

  test('shelving that cannot be read is undone, and rings', () => {
    const site = alarmSite();
    site.hold({ [warm]: 29 }, 120);
    site.book.act(highWarm, { act: 'shelve', forMinutes: 60, oneShot: false, why: 'known' }, 'rowan');
    site.database.exec(`UPDATE alarm_state SET memory = json_set(memory, '$.shelved', 'soon')`);
    site.restart();
    expect(site.state(highWarm)).toBe('unacknowledged');
    expect(site.events(highWarm)).toEqual(['raised', 'shelved', 'shelving-lost']);
  });

  test('memory that cannot be read at all begins anew, and the next reading rings', () => {
    const site = alarmSite();
    site.hold({ [warm]: 29 }, 120);
    site.database.exec(`UPDATE alarm_state SET memory = '{'`);
    site.restart();
    expect(site.state(highWarm)).toBe('normal');
    site.hold({ [warm]: 29 }, 30);
    expect(site.state(highWarm)).toBe('unacknowledged');
  });
});

describe('acts', () => {
  test('an unknown alarm and a refused act say why', () => {
    const site = alarmSite();
    const thrown = (run: () => unknown) => {
      try {
        run();
      } catch (error) {
        return error as AppError;
      }
      throw new Error('nothing was thrown');
    };
    expect(thrown(() => site.book.act('high/nowhere', { act: 'acknowledge' }, 'rowan')).code).toBe(
      'not-found',
    );
    const refused = thrown(() =>
      site.book.act(highWarm, { act: 'shelve', forMinutes: 600, oneShot: false, why: 'x' }, 'rowan'),
    );
    expect(refused).toMatchObject({ code: 'conflict', message: expect.stringContaining('480 min at most') });
    expect(site.book.journal({ limit: 10 })).toEqual([]);
  });

  test('an acknowledged alarm that goes on rings again after its time', () => {
    const site = alarmSite();
    site.hold({ [warm]: 33 }, 120);
    const far = 'high-high/warm-room.temperature';
    site.book.act(far, { act: 'acknowledge' }, 'rowan');
    site.run(59 * 60, () => site.clock.now() % 30_000 === 0 && site.say(warm, 33));
    expect(site.state(far)).toBe('acknowledged');
    site.run(60);
    expect(site.state(far)).toBe('unacknowledged');
    expect(site.events(far)).toEqual(['raised', 'acknowledged', 're-alarm']);
  });
});

describe('a reloaded farm', () => {
  test('that expects a sensor more often gives it until then to speak, and no longer', () => {
    const oftener = smallFarm().file.sensors;
    const site = alarmSite(smallFarm({ sensors: oftener.map((sensor) => ({ ...sensor, everyS: 900 })) }));
    site.run(300);
    site.book.setFarm(smallFarm({ sensors: oftener }));
    site.run(60);
    expect(site.state('silent/a1')).toBe('normal');
    site.run(1);
    expect(site.state('silent-room/warm-room')).toBe('unacknowledged');
  });

  test('that expects it as before does not start the wait anew', () => {
    const site = alarmSite();
    site.run(50);
    site.book.setFarm(smallFarm());
    site.run(11);
    expect(site.state('silent-room/warm-room')).toBe('unacknowledged');
  });

  test('keeps the state of alarms it still has, and closes those it has not', () => {
    const site = alarmSite();
    site.hold({ [warm]: 29, 'a2.temperature': 27 }, 120);
    site.book.act(highWarm, { act: 'acknowledge' }, 'rowan');
    const farm = smallFarm();
    const [warmRoom, coldRoom] = farm.file.rooms;
    site.book.setFarm(
      smallFarm({
        rooms: [
          {
            ...warmRoom!,
            limits: { temperature: { low: 20, high: 30, highHigh: 32 } },
            racks: [{ id: 'A', shelves: [{ id: 'A1' }, { id: 'A2' }] }],
          },
          coldRoom!,
        ],
      }),
    );
    expect(site.state(highWarm)).toBe('acknowledged');
    expect(site.book.views().map(({ id }) => id)).toEqual([highWarm]);
    expect(site.events('high/A2.temperature')).toEqual(['raised', 'definition-removed']);
    site.hold({ [warm]: 29 }, 120);
    expect(site.state(highWarm)).toBe('normal');
  });

  test('without limits still guards temperature by assumed ones', () => {
    const site = alarmSite(
      smallFarm({
        rooms: [
          { id: 'warm-room', name: 'Warm room', racks: [{ id: 'A', shelves: [{ id: 'A1' }, { id: 'A2' }] }] },
        ],
      }),
    );
    site.hold({ [warm]: 30.5, 'warm-air.humidity': 99 }, 120);
    expect(
      site.book
        .views()
        .filter(({ id }) => !id.startsWith('silent'))
        .map(({ title }) => title),
    ).toEqual(['Warm room too warm: 30.5 °C, limit 30']);
  });
});

describe('alarms about the tool itself', () => {
  const disk = {
    title: 'Disk nearly full: 120 MB left',
    advice: 'Make room on the disk.',
    priority: 1,
  } as const;

  test('are raised once, survive a restart, and end when the part is well', () => {
    const site = alarmSite();
    site.book.system('disk', { ...disk, abnormal: false });
    expect(site.book.views()).toEqual([]);
    site.book.system('disk', { ...disk, abnormal: true });
    site.book.system('disk', { ...disk, abnormal: true });
    site.restart();
    expect(site.book.views()).toMatchObject([
      { id: 'system/disk', state: 'unacknowledged', title: disk.title },
    ]);
    site.book.system('disk', { ...disk, title: 'Disk has room again', abnormal: false });
    expect(site.book.view('system/disk')).toMatchObject({
      state: 'returned-unacknowledged',
      title: 'Disk has room again',
    });
    expect(site.events('system/disk')).toEqual(['raised', 'cleared']);
  });

  test('are shown even when the database refuses, and written once it takes writes again', () => {
    const site = alarmSite();
    site.database.pragma('query_only = 1');
    site.book.system('disk', { ...disk, abnormal: true });
    expect(site.book.views()).toMatchObject([{ id: 'system/disk', state: 'unacknowledged' }]);
    expect(() => site.run(1)).toThrow('readonly');
    expect(site.book.views()).toHaveLength(1);
    site.database.pragma('query_only = 0');
    site.run(1);
    expect(site.events('system/disk')).toEqual(['raised']);
    expect(site.outbox()).toHaveLength(1);
  });
});

describe('messages', () => {
  const mails = (site: ReturnType<typeof alarmSite>) =>
    site.outbox().map(({ message }) => JSON.parse(message));

  test('say first what to do, go to those who are to be told, and thread', () => {
    const site = alarmSite();
    site.hold({ [warm]: 29.5 }, 120);
    site.hold({ [warm]: 25 }, 150);
    const [raised, over] = mails(site);
    expect(site.outbox().map(({ recipient }) => recipient)).toEqual(['rowan', 'rowan']);
    expect(raised.subject).toBe('Warm room too warm: 29.5 °C, limit 28');
    expect(raised.text.split('\n')[0]).toBe(site.book.view(highWarm).advice);
    expect(raised.text).toContain('Since Mon 4 May, 07:00 BST');
    expect(raised.inReplyTo).toBeUndefined();
    expect(over.subject).toBe('Over: Warm room back in limits: 25.0 °C, limit 28, reached 29.5');
    expect(over.inReplyTo).toBe(raised.messageId);
    expect(over.references).toEqual([raised.messageId]);
    expect(new Set([raised.messageId, over.messageId]).size).toBe(2);
    expect(site.told.queued).toBe(2);
    expect(site.book.view(highWarm).delivery).toEqual({ waiting: 2, sent: 0, failed: 0 });
  });

  test('of the next raise begin a new thread', () => {
    const site = alarmSite();
    for (const _ of [1, 2]) {
      site.hold({ [warm]: 29.5 }, 120);
      site.book.act(highWarm, { act: 'acknowledge' }, 'rowan');
      site.hold({ [warm]: 25 }, 150);
    }
    const [first, , second, last] = mails(site);
    expect(second.inReplyTo).toBeUndefined();
    expect(last.inReplyTo).toBe(second.messageId);
    expect(second.messageId).not.toBe(first.messageId);
  });

  test('are none on a farm without a mail server', () => {
    const site = alarmSite(smallFarm({ mail: undefined }));
    site.hold({ [warm]: 29.5 }, 120);
    expect(site.outbox()).toEqual([]);
    expect(site.state(highWarm)).toBe('unacknowledged');
  });
});
