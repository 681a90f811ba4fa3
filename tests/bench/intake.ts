import { fork } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import SQLite from 'better-sqlite3';
import mqtt from 'mqtt';
import { createNoMailer } from '../../alerts/delivery/mailer.ts';
import { createMqttTransport } from '../../collector/intake/mqtt-transport.ts';
import { migrations } from '../../collector/main.ts';
import { openSite } from '../../collector/site.ts';
import { openDatabase } from '../../collector/store/open-database.ts';
import { systemClock as clock } from '../../collector/system-clock.ts';
import type { AcceptMessage, InboundMessage } from '../../shared/ports.ts';
import { startMosquitto } from '../tools/mosquitto.ts';
import { openFolder } from '../tools/open-folder.ts';
import { smallFarm } from '../tools/small-farm.ts';
import { until } from '../tools/until.ts';
import type { Figure } from './figure.ts';
import type { PublishOrder } from './intake-publisher.ts';

const sensors = 200;
const rounds = 5;
type Synchronous = 'FULL' | 'NORMAL';

/** One way of taking messages in. `done` is to be called after each message, once it may be acknowledged. */
interface Contender {
  name: string;
  count: number;
  open(url: string, folder: string, done: () => void): Promise<() => Promise<unknown>>;
}

const subscribed = async (url: string, take: (payload: Buffer, topic: string) => void) => {
  const client = mqtt.connect(url, { protocolVersion: 5, clean: true, manualConnect: true });
  client.handleMessage = (packet, callback) => {
    take(packet.payload as Buffer, packet.topic);
    callback();
  };
  const connected = new Promise<void>((resolve) => client.once('connect', () => resolve()));
  client.connect();
  await connected;
  await client.subscribeAsync('bench/#', { qos: 1 });
  return client;
};

/** Baseline (b): parses, and nothing more. */
const bareParse: Contender = {
  name: 'bare subscriber that parses JSON',
  count: 60_000,
  async open(url, _folder, done) {
    let sum = 0;
    const client = await subscribed(url, (payload) => {
      sum += JSON.parse(payload.toString()).temperature;
      done();
    });
    return async () => {
      if (!(sum > 0)) throw new Error('nothing was parsed');
      await client.endAsync(true);
    };
  },
};

/** Baseline (a): parses and commits each message by itself, and nothing more. */
const bareCommit = (synchronous: Synchronous, count: number): Contender => ({
  name: `bare commit per message, ${synchronous}`,
  count,
  async open(url, folder, done) {
    const database = new SQLite(join(folder, 'bare.sqlite'));
    database.pragma('journal_mode = WAL');
    database.pragma(`synchronous = ${synchronous}`);
    database.exec(
      'CREATE TABLE reading (series INTEGER, t INTEGER, value REAL, PRIMARY KEY (series, t)) WITHOUT ROWID',
    );
    const insert = database.prepare('INSERT INTO reading VALUES (?, ?, ?) ON CONFLICT DO NOTHING');
    const series = new Map(Array.from({ length: sensors }, (_, at) => [`bench/${at}/air`, at]));
    const client = await subscribed(url, (payload, topic) => {
      const { at, temperature } = JSON.parse(payload.toString());
      insert.run(series.get(topic), at, temperature);
      done();
    });
    return async () => {
      await client.endAsync(true);
      database.close();
    };
  },
});

const farm = smallFarm(
  Array.from({ length: sensors }, (_, at) => ({
    id: `s${at}`,
    topic: `bench/${at}/air`,
    decoder: 'json' as const,
    timePointer: '/at',
    at: 'warm',
    channels: [{ quantity: 'temperature' as const, unit: 'degC' as const, pointer: '/temperature' }],
  })),
  { rooms: [{ id: 'warm', name: 'Warm room', limits: { temperature: { low: 18, high: 28 } } }] },
);

/** Tells of each message after intake has it on disk. */
function counted(accept: AcceptMessage, done: () => void): AcceptMessage {
  const one = (message: InboundMessage): void => {
    accept(message);
    done();
  };
  const all = (messages: readonly InboundMessage[]): void => {
    accept.all?.(messages);
    for (const _ of messages) done();
  };
  return accept.all === undefined ? one : Object.assign(one, { all });
}

/** A site as it runs, without forecasts: everything that stands between a sensor and its acknowledgement. */
const wholeIntake = (synchronous: Synchronous, count: number): Contender => ({
  name: `whole intake, ${synchronous}`,
  count,
  async open(url, folder, done) {
    const database = openDatabase({ file: join(folder, 'site.sqlite'), synchronous, migrations, clock });
    const log = (level: string, text: string, error?: unknown) => {
      if (level !== 'info') console.error(level, text, error);
    };
    const access = { url };
    const transport = createMqttTransport({ access, clientId: 'bench-collector', clock, log });
    const site = openSite({
      kind: 'farm',
      farm,
      clock,
      pace: clock,
      transport: { ...transport, start: (accept) => transport.start(counted(accept, done)) },
      database,
      mailer: createNoMailer(),
      forecasts: null,
      log,
    });
    await site.start();
    await until(transport.onStatus, () => transport.status().state === 'connected');
    return async () => {
      await site.close();
      const stored = database.prepare('SELECT count(*) FROM reading').pluck().get();
      database.close();
      if (stored !== count) throw new Error(`${stored} of ${count} readings are in the store`);
    };
  },
});

/** Messages per second from the first to the last of `count`. */
async function measure(contender: Contender, publish: (order: PublishOrder) => void): Promise<number> {
  await using broker = await startMosquitto([
    'allow_anonymous true',
    // Nothing may be dropped when the collector is slower than the publisher.
    'max_queued_messages 0',
  ]);
  using folder = openFolder('intake');
  let seen = 0;
  let first = 0;
  let resolveAll = (): void => {};
  const all = new Promise<void>((resolve) => {
    resolveAll = resolve;
  });
  const close = await contender.open(broker.url, folder.path, () => {
    if (seen === 0) first = performance.now();
    seen++;
    if (seen === contender.count) resolveAll();
  });
  const from = clock.now() - contender.count * 10;
  publish({ port: broker.port, sensors, count: contender.count, from });
  await all;
  const rate = ((contender.count - 1) / (performance.now() - first)) * 1000;
  await close();
  return rate;
}

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((one, other) => one - other);
  return sorted[sorted.length >> 1] as number;
};

/**
 * Readings per second over a real mosquitto at QoS 1, published by a process of its own. Every contender
 * runs once a round, in turn, so that what else the machine does meets all of them alike.
 */
export async function run(): Promise<Figure[]> {
  const publisher = fork(new URL('./intake-publisher.ts', import.meta.url));
  await once(publisher, 'message');
  const contenders = [
    // Fewer where each message costs a sync of the disk.
    bareCommit('FULL', 3_000),
    wholeIntake('FULL', 20_000),
    bareParse,
    wholeIntake('NORMAL', 60_000),
    bareCommit('NORMAL', 60_000),
  ];
  const rates = contenders.map((): number[] => []);
  for (let round = 0; round < rounds; round++)
    for (const [at, contender] of contenders.entries())
      rates[at]?.push(await measure(contender, (order) => publisher.send(order)));
  publisher.disconnect();

  const [bareFull = [], wholeFull = [], parse = [], wholeNormal = [], bareNormal = []] = rates;
  const line = (name: string, own: number[], base: number[] | null, goal: number | null): Figure => {
    // Ratio of neighbours in time, then the median: the machine's mood cancels out.
    const ratio = base && median(own.map((rate, at) => rate / (base[at] as number)));
    return {
      name,
      value: Math.round(median(own)),
      unit: 'messages/s',
      baseline: base && Math.round(median(base)),
      ratio,
      goal: goal === null ? null : `>= ${goal} of baseline`,
      holds: goal === null || ratio === null ? null : ratio >= goal,
    };
  };
  return [
    line('bare commit per message, FULL', bareFull, null, null),
    line('whole intake, FULL', wholeFull, bareFull, 0.8),
    line('bare subscriber that parses JSON', parse, null, null),
    line('whole intake, NORMAL', wholeNormal, parse, 0.6),
    line('whole intake, NORMAL, beside a bare commit', wholeNormal, bareNormal, null),
  ];
}
