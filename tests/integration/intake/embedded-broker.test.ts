import { connect, createServer, type Socket } from 'node:net';
import mqtt, { type IClientOptions } from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { createEmbeddedBroker, type EmbeddedBrokerParts } from '../../../collector/intake/embedded-broker.ts';
import { systemClock as clock } from '../../../collector/system-clock.ts';
import type { InboundMessage } from '../../../shared/ports.ts';
import { freePort } from '../../tools/free-port.ts';
import { until } from '../../tools/until.ts';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function run(more: Partial<EmbeddedBrokerParts> = {}) {
  const logged: string[] = [];
  const log = (level: string, text: string) => logged.push(`${level} ${text}`);
  const broker = createEmbeddedBroker({ clock, port: 0, log, ...more });
  closers.push(() => broker.stop());
  const got: InboundMessage[] = [];
  await broker.start((message) => got.push(message));
  const { port } = broker.address();
  const texts = () => got.map((message) => `${message.topic}=${Buffer.from(message.payload)}`);
  return { broker, got, texts, logged, port, url: `mqtt://127.0.0.1:${port}` };
}

async function device(url: string, options: IClientOptions = {}) {
  const client = await mqtt.connectAsync(url, { protocolVersion: 4, ...options });
  closers.push(() => client.endAsync(true));
  return client;
}

async function raw(port: number): Promise<Socket> {
  const socket = connect(port, '127.0.0.1');
  socket.on('error', () => {});
  closers.push(() => socket.destroy());
  await new Promise((resolve) => socket.once('connect', resolve));
  return socket;
}

const closed = (socket: Socket) =>
  new Promise<void>((resolve) => (socket.closed ? resolve() : socket.once('close', () => resolve())));

describe('the built-in broker', () => {
  it('moves to the next free port where its own is taken, and says so', async () => {
    const port = await freePort();
    const other = createServer();
    await new Promise<void>((resolve) => other.listen(port, '127.0.0.1', resolve));
    closers.push(() => other.close());
    const { port: taken, logged, broker } = await run({ port });
    expect(taken).toBeGreaterThan(port);
    expect(logged).toEqual([expect.stringContaining(`port ${port} is in use`)]);
    expect(broker.status().text).toContain(`127.0.0.1:${taken}`);
  });

  it('says that it cannot listen where the system forbids it', async () => {
    const broker = createEmbeddedBroker({ clock, port: 0, host: '203.0.113.1', log: () => {} });
    closers.push(() => broker.stop());
    await expect(broker.start(() => {})).rejects.toMatchObject({ code: 'port-busy' });
  });

  it('takes all three qualities of service', async () => {
    const { url, texts } = await run();
    const client = await device(url);
    for (const qos of [0, 1, 2] as const) await client.publishAsync('warm/a', String(qos), { qos });
    await until(clock, () => texts().length === 3);
    expect(texts()).toEqual(['warm/a=0', 'warm/a=1', 'warm/a=2']);
  });

  it('does not call a message retained that asks to be kept, and gives it to who comes later', async () => {
    const { url, got } = await run();
    const client = await device(url);
    await client.publishAsync('warm/a', '21', { qos: 1, retain: true });
    expect(got).toMatchObject([{ retained: false }]);
    const later = await device(url);
    const heard = new Promise((resolve) =>
      later.on('message', (_topic, payload) => resolve(String(payload))),
    );
    await later.subscribeAsync('warm/#');
    expect(await heard).toBe('21');
  });

  it('counts its clients', async () => {
    const { url, broker } = await run();
    expect(broker.status().text).toContain('0 clients');
    const client = await device(url);
    expect(broker.status().text).toContain('1 client');
    await client.endAsync();
    await until(broker.onStatus, () => broker.status().text.includes('0 clients'));
  });

  it('turns away connections over its limit', async () => {
    const { port, logged } = await run({ maxConnections: 2 });
    await raw(port);
    await raw(port);
    await closed(await raw(port));
    expect(logged).toEqual([expect.stringContaining('more than 2 connections')]);
  });

  it('cuts ten megabytes, acknowledges them, hands nobody the stump, and goes on', async () => {
    const { url, got, texts } = await run();
    const listener = await device(url);
    const heard: number[] = [];
    listener.on('message', (_topic, payload) => heard.push(payload.length));
    await listener.subscribeAsync('warm/#');
    const client = await device(url);
    await client.publishAsync('warm/a', Buffer.alloc(10_000_000, 0x31), { qos: 1, retain: true });
    await client.publishAsync('warm/a', '21', { qos: 1 });
    await until(clock, () => heard.length === 1);
    expect(got[0]?.payload.length).toBeGreaterThan(65_536);
    expect(got[0]?.payload.length).toBeLessThan(140_000);
    expect(texts()[1]).toBe('warm/a=21');
    expect(heard).toEqual([2]);
  });

  it('ends a connection that speaks something else, and stays for the others', async () => {
    const { url, port, texts } = await run();
    for (const said of [
      'GET / HTTP/1.1\r\n\r\n',
      '\x82\xff\xff\xff\x7f',
      '\x30\x02\x00',
      '\xff'.repeat(64),
    ]) {
      const socket = await raw(port);
      socket.resume();
      socket.end(Buffer.from(said, 'latin1'));
      await closed(socket);
    }
    const client = await device(url);
    await client.publishAsync('warm/a', '21', { qos: 1 });
    expect(texts()).toEqual(['warm/a=21']);
  });

  it('keeps $ topics for itself', async () => {
    const { url, got } = await run();
    const client = await device(url, { reconnectPeriod: 0 });
    const gone = new Promise<void>((resolve) => client.once('close', () => resolve()));
    client.on('error', () => {});
    client.publish('$SYS/made-up', '1', { qos: 1 });
    await gone;
    expect(got).toEqual([]);
  });

  it('survives a burst to a listener that has stopped reading, and that then leaves', async () => {
    const { url, got, port } = await run();
    const listener = await device(url, { reconnectPeriod: 0 });
    listener.on('error', () => {});
    await listener.subscribeAsync('warm/#', { qos: 1 });
    listener.stream.pause();
    const filler = await device(url);
    const fillers = 200;
    for (let at = 0; at < fillers; at++) filler.publish('warm/filler', Buffer.alloc(60_000), { qos: 0 });
    // It is held up by the listener, as it must be.
    await until(clock, () => got.length >= 1);
    // Many small messages in few chunks: all of them pass at once and wait for the listener.
    const each = 5000;
    const devices = await Promise.all(Array.from({ length: 6 }, () => raw(port)));
    const packet = Buffer.from([0x30, 7, 0, 4, ...Buffer.from('warm'), 0x31]);
    const connectPacket = (at: number) =>
      Buffer.from([0x10, 13, 0, 4, ...Buffer.from('MQTT'), 4, 2, 0, 0, 0, 1, 0x61 + at]);
    for (const [at, socket] of devices.entries()) {
      const answered = new Promise((resolve) => socket.once('data', resolve));
      socket.write(connectPacket(at));
      await answered;
      socket.write(Buffer.concat(Array.from({ length: each }, () => packet)));
    }
    await until(clock, () => got.length >= fillers + 2 * each);
    listener.stream.destroy();
    await until(clock, () => got.length === fillers + devices.length * each);
  });

  it('lets a listener go that has stopped reading, so that readings flow again', async () => {
    const { url, got } = await run();
    const listener = await device(url, { reconnectPeriod: 0 });
    listener.on('error', () => {});
    await listener.subscribeAsync('warm/#', { qos: 1 });
    listener.stream.pause();
    const client = await device(url);
    const payload = Buffer.alloc(60_000, 0x31);
    const began = performance.now();
    const count = 500;
    await Promise.all(
      Array.from({ length: count }, () => client.publishAsync('warm/a', payload, { qos: 1 })),
    );
    expect(got).toHaveLength(count);
    expect(performance.now() - began).toBeLessThan(20_000);
  });

  it('keeps no queue for sessions that are away', async () => {
    const { url, broker } = await run();
    const options = { clientId: 'sleeper', clean: false } as const;
    const sleeper = await device(url, options);
    await sleeper.subscribeAsync('warm/#', { qos: 1 });
    await sleeper.endAsync();
    await broker.publish('warm/a', '1');
    const client = await device(url);
    await client.publishAsync('warm/a', '2', { qos: 1 });
    const back = await device(url, options);
    const heard: string[] = [];
    back.on('message', (_topic, payload) => heard.push(String(payload)));
    await back.subscribeAsync('warm/#', { qos: 1 });
    await client.publishAsync('warm/a', '3', { qos: 1 });
    await until(clock, () => heard.length > 0);
    expect(heard).toEqual(['3']);
  });

  it('sends no last will to intake while it stops', async () => {
    const { url, broker, got } = await run();
    await device(url, { will: { topic: 'warm/a', payload: Buffer.from('gone'), qos: 1, retain: false } });
    await broker.stop();
    expect(got).toEqual([]);
    await expect(broker.publish('x', 'y')).rejects.toMatchObject({ code: 'unavailable' });
  });
});
