import { describe, expect, it } from 'vitest';
import { createIntake } from '../../../../collector/intake/intake.ts';
import type { Sensor } from '../../../../shared/farm/schema.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { Reading } from '../../../../shared/readings.ts';
import { smallFarm } from '../../../tools/small-farm.ts';

const start = Date.UTC(2026, 2, 1, 12);

/** A sensor of one cooler whose messages go through the whole intake. */
function rig(decoder: Sensor['decoder'], channel: Partial<Sensor['channels'][number]>) {
  const clock = createManualClock(start);
  const accepted: Reading[] = [];
  const intake = createIntake({
    farm: smallFarm([
      {
        id: 'c',
        topic: 'c',
        decoder,
        at: 'warm',
        channels: [{ quantity: 'cooler-on', unit: 'state', ...channel }],
      },
    ]),
    clock,
    commit: (readings) => readings,
    onAccepted: (readings) => accepted.push(...readings),
    log: (_level, text, thrown) => {
      throw new Error(text, { cause: thrown });
    },
  });
  const send = (payload: string) => {
    clock.advanceBy(1_000);
    intake.accept({ topic: 'c', payload: Buffer.from(payload), retained: false, receivedAt: clock.now() });
  };
  return { clock, intake, accepted, send, values: () => accepted.map(({ value }) => value) };
}

const on = ['ON', 'on', 'On', ' true ', 'TRUE', '1'];
const off = ['OFF', 'off', 'false', '0'];

describe('a state', () => {
  it('is on or off in the words that devices have for it', () => {
    const { send, values, accepted } = rig('plain', {});
    for (const word of [...on, ...off]) send(word);
    expect(values()).toEqual([...on.map(() => 100), ...off.map(() => 0)]);
    expect(accepted.every(({ quality }) => quality === 'good')).toBe(true);
  });

  it('in JSON may be a boolean, a number or a text, at its pointer or as the whole document', () => {
    const { send, values } = rig('json', { pointer: '/relay/0' });
    for (const written of ['true', 'false', '1', '0', '"ON"', '"off"']) send(`{"relay":[${written}]}`);
    expect(values()).toEqual([100, 0, 100, 0, 100, 0]);
    const whole = rig('json', {});
    for (const document of ['true', '"OFF"']) whole.send(document);
    expect(whole.values()).toEqual([100, 0]);
  });

  it.each(['2', '0.5', '-1', 'yes', 'ONOFF', `ON${' '.repeat(70)}x`])(
    '%s is refused in a sentence',
    (word) => {
      const plain = rig('plain', {});
      plain.send(word);
      const json = rig('json', { pointer: '/s' });
      json.send(JSON.stringify({ s: word }));
      for (const { intake, accepted } of [plain, json]) {
        expect(accepted).toEqual([]);
        expect(intake.found().rejected[0]!.lastReason).toMatch(/^value is not a state: send ON or OFF/);
      }
    },
  );

  it.each(['null', '{}', '[1]', '12'])('%s in JSON is refused, and its pointer named', (written) => {
    const { send, intake, accepted } = rig('json', { pointer: '/s' });
    send(`{"s":${written}}`);
    expect(accepted).toEqual([]);
    expect(intake.found().rejected[0]!.lastReason).toMatch(/not a state.*\(\/s\)/);
  });
});

it('a share of time comes as a fraction or in %, and one that cannot be is kept and marked', () => {
  const fraction = rig('plain', { unit: 'fraction' });
  for (const share of ['0.25', '1.02', '3']) fraction.send(share);
  expect(fraction.values()).toEqual([25, 100, 300]);
  expect(fraction.accepted.map(({ quality }) => quality)).toEqual(['good', 'good', 'out-of-range']);
  const percent = rig('plain', { unit: '%' });
  percent.send('40');
  expect(percent.values()).toEqual([40]);
});

it('a power is on above the level that the farm file gives', () => {
  const { send, values } = rig('json', { unit: 'W', onAboveW: 150, pointer: '/power' });
  for (const powerW of [3.2, 150, 150.1, 820, -0.4]) send(JSON.stringify({ power: powerW }));
  expect(values()).toEqual([0, 0, 100, 100, 0]);
  send('{"power":"ON"}');
  expect(values()).toHaveLength(5);
});

it('neither rises nor falls, and is silent like any sensor', () => {
  const { send, intake, clock } = rig('plain', {});
  for (let minute = 0; minute < 40; minute += 1) {
    send(minute < 20 ? 'OFF' : 'ON');
    clock.advanceBy(59_000);
  }
  expect(intake.live.value('c.cooler-on')).toMatchObject({ value: 100, trendPerH: null, silent: false });
  clock.advanceBy(121_000);
  expect(intake.live.value('c.cooler-on')).toMatchObject({ value: 100, silent: true });
});

it('a topic that belongs to no sensor yet is recognised as a state', () => {
  const { intake, clock } = rig('plain', {});
  intake.accept({ topic: 'new', payload: Buffer.from('ON'), retained: false, receivedAt: clock.now() });
  expect(intake.found().topics).toMatchObject([{ topic: 'new', guess: 'plain, unit: state' }]);
});
