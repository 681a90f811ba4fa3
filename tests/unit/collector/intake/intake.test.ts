import { afterEach, describe, expect, it } from 'vitest';
import { createIntake } from '../../../../collector/intake/intake.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { Reading } from '../../../../shared/readings.ts';
import { smallFarm } from '../../../tools/small-farm.ts';

const start = Date.UTC(2026, 2, 1, 12);
const plain = {
  id: 'door',
  topic: 'warm/door/temperature',
  decoder: 'plain' as const,
  at: 'warm',
  channels: [{ quantity: 'temperature' as const, unit: 'degF' as const }],
};
const json = {
  id: 'a1',
  topic: 'warm/+/air',
  decoder: 'json' as const,
  timePointer: '/at',
  at: 'A1',
  channels: [
    { quantity: 'temperature' as const, unit: 'degC' as const, pointer: '/air/t' },
    { quantity: 'humidity' as const, unit: 'fraction' as const, pointer: '/air/rh' },
  ],
};

const closers: (() => void)[] = [];
afterEach(() => {
  for (const close of closers.splice(0)) close();
});

function rig() {
  const clock = createManualClock(start);
  const stored = new Map<string, Reading>();
  const accepted: Reading[] = [];
  const logged: string[] = [];
  const disk = { full: false };
  const intake = createIntake({
    farm: smallFarm([plain, json]),
    clock,
    commit(readings) {
      if (disk.full) throw new Error('disk full');
      return readings.filter((reading) => {
        const key = `${reading.channel} ${reading.t}`;
        if (stored.has(key)) return false;
        stored.set(key, reading);
        return true;
      });
    },
    onAccepted: (readings) => accepted.push(...readings),
    log: (_level, text) => logged.push(text),
  });
  closers.push(intake.close);
  const send = (topic: string, payload: string | Uint8Array, retained = false) =>
    intake.accept({ topic, payload: Buffer.from(payload), retained, receivedAt: clock.now() });
  return { clock, stored, accepted, logged, disk, intake, send };
}

describe('the way of a reading', () => {
  it('decodes, converts, commits, and then shows', () => {
    const { accepted, intake, send, clock } = rig();
    send('warm/door/temperature', '75.2');
    expect(accepted).toEqual([
      {
        channel: 'door.temperature',
        t: start,
        value: expect.closeTo(24, 9),
        raw: expect.closeTo(24, 9),
        quality: 'good',
        retained: false,
        receivedAt: clock.now(),
      },
    ]);
    expect(intake.live.value('door.temperature')).toMatchObject({ t: start, silent: false, trendPerH: null });
  });

  it('takes several channels and the time of one JSON payload', () => {
    const { accepted, send } = rig();
    send('warm/a1/air', JSON.stringify({ at: (start - 60_000) / 1000, air: { t: 23.5, rh: 0.81 } }));
    expect(accepted.map(({ channel, t, value }) => [channel, t, value])).toEqual([
      ['a1.temperature', start - 60_000, 23.5],
      ['a1.humidity', start - 60_000, 81],
    ]);
  });

  it('keeps the good value of a payload whose other value is bad, and says which', () => {
    const { accepted, intake, send } = rig();
    send('warm/a1/air', '{"at":"2026-03-01T11:59:00Z","air":{"t":"warm","rh":0.81}}');
    expect(accepted.map((reading) => reading.channel)).toEqual(['a1.humidity']);
    expect(intake.found().rejected).toMatchObject([
      { topic: 'warm/a1/air', count: 1, lastReason: expect.stringContaining('(/air/t)') },
    ]);
  });

  it('takes a redelivered reading once', () => {
    const { accepted, intake, send } = rig();
    const payload = JSON.stringify({ at: start, air: { t: 23.5, rh: 0.81 } });
    send('warm/a1/air', payload);
    send('warm/a1/air', payload);
    expect(accepted).toHaveLength(2);
    expect(intake.counts()).toEqual({ messages: 2, readings: 2, duplicates: 2, refused: 0 });
  });

  it('throws when the commit fails, shows nothing, and counts the message once when it is offered again', () => {
    const { accepted, disk, intake, clock } = rig();
    const message = {
      topic: 'warm/a1/air',
      payload: Buffer.from('{"at":1772366400,"air":{"t":"warm","rh":0.8}}'),
      retained: false,
      receivedAt: clock.now(),
    };
    disk.full = true;
    expect(() => intake.accept(message)).toThrow('disk full');
    expect(() => intake.accept(message)).toThrow('disk full');
    expect(intake.live.all()).toEqual({});
    disk.full = false;
    intake.accept(message);
    expect(accepted.map((reading) => reading.channel)).toEqual(['a1.humidity']);
    expect(intake.counts()).toEqual({ messages: 1, readings: 1, duplicates: 0, refused: 1 });
  });

  it('gives values that come in one burst without a time an instant each', () => {
    const { accepted, send } = rig();
    for (const value of ['70', '71', '72']) send('warm/door/temperature', value);
    expect(accepted.map((reading) => reading.t)).toEqual([start, start + 1, start + 2]);
  });

  it('goes on when what follows an accepted reading fails', () => {
    const clock = createManualClock(start);
    const logged: string[] = [];
    const intake = createIntake({
      farm: smallFarm([plain]),
      clock,
      commit: (readings) => readings,
      onAccepted() {
        throw new Error('listener broke');
      },
      log: (level, text) => logged.push(`${level} ${text}`),
    });
    closers.push(intake.close);
    const payload = Buffer.from('70');
    intake.accept({ topic: plain.topic, payload, retained: false, receivedAt: start });
    expect(intake.live.value('door.temperature')).toBeDefined();
    expect(logged).toEqual([expect.stringMatching(/^error intake/)]);
  });
});

describe('topics that nobody placed', () => {
  it('are listed with last value, rate and a guess, and leave when they are placed', () => {
    const { clock, intake, send } = rig();
    for (let minute = 0; minute < 3; minute++) {
      send('cold/fridge', '4.1');
      send('cold/air', '{"air":{"t":4.2},"battery":97}');
      clock.advanceBy(30_000);
    }
    expect(intake.found().topics).toEqual([
      {
        topic: 'cold/air',
        lastPayload: '{"air":{"t":4.2},"battery":97}',
        lastAt: start + 60_000,
        messages: 3,
        perMinute: 2,
        guess: 'json: /air/t, /battery',
      },
      expect.objectContaining({ topic: 'cold/fridge', lastPayload: '4.1', guess: 'plain' }),
    ]);
    intake.setFarm(smallFarm([{ ...plain, topic: 'cold/fridge' }]));
    expect(intake.found().topics.map((found) => found.topic)).toEqual(['cold/air']);
    expect(intake.filters()).toEqual(['cold/fridge']);
  });

  it('stay a bounded list of bounded, printable examples', () => {
    const { intake, send } = rig();
    for (let at = 0; at < 2000; at++) send(`stranger/${at}`, `\u001b[31m${'x'.repeat(10_000)}`);
    const { topics } = intake.found();
    expect(topics).toHaveLength(500);
    for (const { lastPayload, guess } of topics) {
      expect(lastPayload.length).toBeLessThan(200);
      expect(lastPayload).not.toContain('\u001b');
      expect(guess).toBe('unknown');
    }
  });
});

describe('a payload that cannot be used', () => {
  const cases: [string, string | Uint8Array, RegExp][] = [
    ['words', 'warm', /not a plain decimal number/],
    ['NaN', 'NaN', /not a plain decimal number/],
    ['a number too large', '1e400', /too large for a number/],
    ['nothing', '', /empty/],
    ['ten megabytes', Buffer.alloc(10_000_000, 0x31), /larger than 65536 bytes/],
    ['bytes that are not UTF-8', Uint8Array.of(0x32, 0xff, 0xfe), /not UTF-8/],
    ['85 degC in degF, a read failure', '185', /read failure/],
    ['-127 degC in degF, a read failure', '-196.6', /read failure/],
  ];
  it.each(cases)('plain: %s', (_what, payload, reason) => {
    const { accepted, intake, send } = rig();
    send('warm/door/temperature', payload);
    expect(accepted).toEqual([]);
    expect(intake.found().rejected).toMatchObject([{ count: 1, lastReason: expect.stringMatching(reason) }]);
    send('warm/door/temperature', '70');
    expect(accepted).toHaveLength(1);
  });

  const air = (t: string) => `{"at":${start / 1000},"air":{"t":${t},"rh":0.5}}`;
  const jsonCases: [string, string, RegExp][] = [
    ['no JSON', '{"air":', /not valid JSON/],
    ['NaN', air('NaN'), /not valid JSON/],
    ['a number too large', air('1e400'), /too large for a number/],
    ['null', air('null'), /not a plain decimal number.*\(\/air\/t\)/],
    ['true', air('true'), /not a plain decimal number/],
    ['nothing at the pointer', '{"at":0,"other":1}', /nothing at the pointer/],
    ['deep nesting', `{"air":{"t":${'['.repeat(5000)}${']'.repeat(5000)}}}`, /nested deeper/],
    ['__proto__', '{"air":{"t":1,"rh":1},"__proto__":{"t":5}}', /reserved/],
    ['__proto__ in escapes', '{"air":{"\\u005f_proto__":{"t":5}}}', /reserved/],
    ['constructor.prototype', '{"constructor":{"prototype":{"t":5}}}', /reserved/],
  ];
  it.each(jsonCases)('JSON: %s', (_what, payload, reason) => {
    const { accepted, intake, send } = rig();
    send('warm/a1/air', payload);
    expect(accepted.filter((reading) => reading.channel === 'a1.temperature')).toEqual([]);
    const [rejected] = intake.found().rejected;
    expect(rejected?.lastReason).toMatch(reason);
    send('warm/a1/air', air('21'));
    expect(intake.live.value('a1.temperature')?.value).toBe(21);
  });

  it('counts per topic, keeps the last example, and forgets the topic that was quiet longest', () => {
    const { intake, send } = rig();
    for (let at = 0; at < 500; at++) send(`warm/${at}/air`, `bad ${at}`);
    send('warm/499/air', 'worse\u0000');
    const { rejected } = intake.found();
    expect(rejected).toHaveLength(200);
    expect(rejected[0]).toMatchObject({ topic: 'warm/499/air', count: 2, lastPayload: 'worse\u{fffd}' });
    expect(intake.counts().refused).toBe(501);
  });
});
