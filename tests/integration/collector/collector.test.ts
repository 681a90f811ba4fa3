import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt from 'mqtt';
import { SMTPServer } from 'smtp-server';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openCollector } from '../../../collector/main.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import type { LiveState } from '../../../shared/live.ts';
import { enter } from '../../tools/enter.ts';
import { until } from '../../tools/until.ts';

let folder: string;
const closers: (() => unknown)[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shelfwarden-collector-'));
});
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
  rmSync(folder, { recursive: true, force: true });
});

/** A real mail server that keeps what it takes. */
async function openMailbox(): Promise<{ port: number; mails: string[] }> {
  const mails: string[] = [];
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS'],
    onData(stream, _, done) {
      let whole = '';
      stream.on('data', (chunk) => {
        whole += chunk;
      });
      stream.on('end', () => {
        mails.push(whole);
        done();
      });
    },
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  closers.push(() => new Promise<void>((closed) => server.close(() => closed())));
  return { port: (server.server.address() as { port: number }).port, mails };
}

const farmYaml = (mailPort: number) => `
site: { id: test-farm, name: Test farm, timeZone: Europe/Dublin }
rooms:
  - id: warm
    name: Warm room
    limits: { temperature: { low: 18, high: 28, onDelayS: 0 } }
    racks: [{ id: A, shelves: [{ id: A1 }, { id: A2 }] }]
sensors:
  - { id: warm-air, topic: lab/warm, decoder: json, at: A1, channels: [{ quantity: temperature, pointer: /t, unit: degC }] }
containers:
  - { id: bag, name: Bag, kind: bag, shape: { form: cylinder, diameterM: 0.14, heightM: 0.23 }, massKg: 2.4, volumeL: 3.5 }
strains: [{ id: larch, name: Larch, species: oyster }]
people: [{ id: ida, name: Ida, email: ida@farm.example }]
notify: [ida]
broker: { embedded: { port: 0 } }
mail: { host: 127.0.0.1, port: ${mailPort}, from: shelfwarden@farm.example }
`;

async function openFarm(mailPort: number) {
  const farmPath = join(folder, 'farm.yaml');
  writeFileSync(farmPath, farmYaml(mailPort));
  const collector = await openCollector({
    farmPath,
    dataFolder: join(folder, 'data'),
    host: '127.0.0.1',
    port: 0,
    brokerUrl: undefined,
  });
  closers.push(collector.close);
  const insider = await enter(collector.url);
  const live = async (): Promise<LiveState> =>
    (await insider.get('/api/sites/farm/live')).json() as Promise<LiveState>;
  const post = (path: string, body: unknown) => insider.post(`/api/${path}`, body);
  /** The warm room's sensor, connected as its radio would be. */
  const sensor = async () => {
    const url = brokerUrlOf(collector.transport.status().text);
    const client = await mqtt.connectAsync(url, await insider.device('warm-air', 'lab/warm'));
    closers.push(() => client.endAsync(true));
    return client;
  };
  return { collector, farmPath, live, post, sensor };
}

const brokerUrlOf = (text: string): string => `mqtt://${/127\.0\.0\.1:\d+/.exec(text)![0]}`;

/** Asks again and again until an answer is as wanted; the test's own timeout ends it. */
async function asked<T>(ask: () => Promise<T>, wanted: (answer: T) => boolean): Promise<T> {
  for (;;) {
    const answer = await ask();
    if (wanted(answer)) return answer;
    await new Promise<void>((resolve) => systemClock.after(20, resolve));
  }
}

test('a reading goes the whole way: broker, disk, forecast of a bag, alarm, mailbox', async () => {
  const { port, mails } = await openMailbox();
  const { live, post, sensor: connect } = await openFarm(port);
  const madeAt = systemClock.now() - 60_000;
  const event = (more: object) => ({ t: madeAt, who: 'Ida', batch: 'LAR-001', ...more });
  const made = event({
    id: 'event-made-1',
    kind: 'made',
    strain: 'larch',
    container: 'bag',
    count: 4,
    generation: 'G2',
    inoculation: { way: 'grain-to-grain', partsPerSpawn: 10 },
  });
  expect((await post('sites/farm/events', made)).status).toBeLessThan(300);
  const placed = event({ id: 'event-placed-1', kind: 'placed', shelf: 'A1' });
  expect((await post('sites/farm/events', placed)).status).toBeLessThan(300);

  const sensor = await connect();
  await sensor.publishAsync('lab/warm', '{"t": 29.6}', { qos: 1 });

  const state = await asked(live, (answer) => answer.alarms.length > 0);
  expect(state.channels['warm-air.temperature']?.value).toBe(29.6);
  expect(state.alarms[0]).toMatchObject({ state: 'unacknowledged', value: 29.6, limit: 28 });
  await until(systemClock, () => mails.length > 0);
  expect(mails[0]).toContain('29.6');
  const forecast = (await asked(live, (answer) => answer.forecasts[0]?.shelf === 'A1')).forecasts[0]!;
  expect(forecast).toMatchObject({ batch: 'LAR-001', shelf: 'A1', bags: [1, 2, 3, 4] });
  expect(forecast.ready.at!.earliest).toBeGreaterThan(madeAt);

  const acknowledged = await post('sites/farm/alarms/act', {
    alarm: state.alarms[0]!.id,
    act: 'acknowledge',
    who: 'Ida',
  });
  expect(acknowledged.status).toBe(200);
  expect((await live()).alarms[0]?.state).toBe('acknowledged');
});

test('what was stored is there after a restart, the alarm still acknowledged', async () => {
  const { port } = await openMailbox();
  const first = await openFarm(port);
  const sensor = await first.sensor();
  await sensor.publishAsync('lab/warm', '{"t": 30.25}', { qos: 1 });
  const [alarm] = (await asked(first.live, ({ alarms }) => alarms.length > 0)).alarms;
  await first.post('sites/farm/alarms/act', { alarm: alarm!.id, act: 'acknowledge', who: 'Ida' });
  await sensor.endAsync(true);
  await first.collector.close();

  const second = await openFarm(port);
  const state = await second.live();
  expect(state.channels['warm-air.temperature']?.value).toBe(30.25);
  expect(state.alarms.map(({ id, state: now }) => [id, now])).toEqual([[alarm!.id, 'acknowledged']]);
});

test('an edited farm file is taken over while running, a bad edit is refused and shown', async () => {
  const { port } = await openMailbox();
  const { farmPath, live } = await openFarm(port);
  writeFileSync(farmPath, farmYaml(port).replace('name: Warm room', 'name: Hot room'));
  const renamed = await asked(live, ({ farm }) => farm.version > 1);
  expect(renamed.farm.rooms[0]?.name).toBe('Hot room');
  writeFileSync(farmPath, farmYaml(port).replace('decoder: json', 'decodr: json'));
  const refused = await asked(live, ({ notices }) => notices.length > 0);
  expect(refused.notices[0]?.text).toMatch(/farm\.yaml:\d+:\d+.*decod/s);
  expect(refused.farm.rooms[0]?.name).toBe('Hot room');
  // What is read at the start only is said to wait for the next one.
  writeFileSync(farmPath, `${farmYaml(port)}screens: { names: [farm-box.lan] }\n`);
  const waits = await asked(live, ({ notices }) => notices[0]?.id === 'restart');
  expect(waits.notices[0]?.text).toContain('of screens holds from the next start on');
});

test('a busy port moves to the next free one and says so', async () => {
  const { port } = await openMailbox();
  const blocker = createServer();
  await new Promise<void>((listening) => blocker.listen(0, '127.0.0.1', listening));
  closers.push(() => new Promise((closed) => blocker.close(closed)));
  const busy = (blocker.address() as { port: number }).port;
  const farmPath = join(folder, 'farm.yaml');
  writeFileSync(farmPath, farmYaml(port));
  const options = { farmPath, dataFolder: join(folder, 'data'), host: '127.0.0.1', brokerUrl: undefined };
  const collector = await openCollector({ ...options, port: busy });
  closers.push(collector.close);
  expect(collector.movedFrom).toBe(busy);
  expect(collector.port).toBeGreaterThan(busy);
});

test.each([
  ['an address that others can reach', { host: '0.0.0.0' }, /nobody is set up who would have to sign in/],
  [
    'a farm file that is not there',
    { farmPath: '/nowhere/farm.yaml' },
    /farm file \/nowhere\/farm\.yaml cannot be read/,
  ],
])('%s is refused in one sentence', async (_, wrong, words) => {
  const farmPath = join(folder, 'farm.yaml');
  writeFileSync(farmPath, farmYaml(2525));
  const options = {
    farmPath,
    dataFolder: join(folder, 'data'),
    host: '127.0.0.1',
    port: 0,
    brokerUrl: undefined,
  };
  await expect(openCollector({ ...options, ...wrong })).rejects.toThrow(words);
});
