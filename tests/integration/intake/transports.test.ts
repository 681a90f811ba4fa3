import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { createEmbeddedBroker } from '../../../collector/intake/embedded-broker.ts';
import { createMqttTransport } from '../../../collector/intake/mqtt-transport.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import type { InboundMessage, Transport } from '../../../shared/ports.ts';
import { startMosquitto } from '../../tools/mosquitto.ts';
import { until } from '../../tools/until.ts';

const clock = systemClock;
const closers: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

interface Rig {
  transport: Transport;
  url: string;
  logged: string[];
}

const rigs: Record<string, () => Promise<Rig>> = {
  async 'a client of mosquitto'() {
    const broker = await startMosquitto();
    closers.push(() => broker[Symbol.asyncDispose]());
    const logged: string[] = [];
    const transport = createMqttTransport({
      access: { url: broker.url },
      clientId: 'collector-under-test',
      clock,
      log: (level, text) => logged.push(`${level} ${text}`),
    });
    return { transport, url: broker.url, logged };
  },
  async 'the built-in broker'() {
    const logged: string[] = [];
    const transport = createEmbeddedBroker({
      clock,
      port: 0,
      log: (level, text) => logged.push(`${level} ${text}`),
    });
    return {
      transport,
      logged,
      get url() {
        return `mqtt://127.0.0.1:${transport.address().port}`;
      },
    };
  },
};

async function publisher(url: string): Promise<MqttClient> {
  const client = await mqtt.connectAsync(url, { protocolVersion: 4 });
  closers.push(() => client.endAsync(true));
  return client;
}

const textOf = (message: InboundMessage): string => `${message.topic}=${Buffer.from(message.payload)}`;

describe.each(Object.keys(rigs))('%s', (name) => {
  const open = async () => {
    const rig = await (rigs[name] as () => Promise<Rig>)();
    closers.push(() => rig.transport.stop());
    return rig;
  };

  it('hands over what is published, in order, and acknowledges after it was accepted', async () => {
    const rig = await open();
    const got: string[] = [];
    rig.transport.subscribe(['warm/#']);
    await rig.transport.start((message) => got.push(textOf(message)));
    await until(rig.transport.onStatus, () => rig.transport.status().state === 'connected');
    const client = await publisher(rig.url);
    for (let at = 0; at < 50; at++) await client.publishAsync('warm/door', String(at), { qos: 1 });
    await until(clock, () => got.length === 50);
    expect(got).toEqual(Array.from({ length: 50 }, (_, at) => `warm/door=${at}`));
  });

  it('holds the stream while the store refuses, acknowledges nothing, and goes on by itself', async () => {
    const rig = await open();
    const got: string[] = [];
    let full = true;
    let refused = 0;
    rig.transport.subscribe(['warm/#']);
    await rig.transport.start((message) => {
      if (full) {
        refused++;
        throw new Error('disk full');
      }
      got.push(textOf(message));
    });
    await until(rig.transport.onStatus, () => rig.transport.status().state === 'connected');
    const client = await publisher(rig.url);
    const sent = Array.from({ length: 20 }, (_, at) =>
      client.publishAsync('warm/door', String(at), { qos: 1 }),
    );
    await until(clock, () => refused >= 2);
    expect(got).toEqual([]);
    expect(rig.transport.status().text).toContain('disk full');
    full = false;
    await Promise.all(sent);
    await until(clock, () => got.length >= 20);
    expect(got).toEqual(Array.from({ length: 20 }, (_, at) => `warm/door=${at}`));
    expect(rig.transport.status().text).not.toContain('disk full');
    expect(rig.logged.filter((line) => line.includes('not acknowledged'))).toHaveLength(1);
  });

  it('publishes what the site has to say', async () => {
    const rig = await open();
    await rig.transport.start(() => {});
    await until(rig.transport.onStatus, () => rig.transport.status().state === 'connected');
    await rig.transport.publish('farm/alarm', 'warm', { retain: true });
    const client = await publisher(rig.url);
    const heard = new Promise((resolve) =>
      client.on('message', (topic, payload, packet) => resolve([topic, String(payload), packet.retain])),
    );
    await client.subscribeAsync('farm/#', { qos: 1 });
    expect(await heard).toEqual(['farm/alarm', 'warm', true]);
  });

  it('stops soon while a message is held and clients are connected', async () => {
    const rig = await open();
    rig.transport.subscribe(['warm/#']);
    let refused = false;
    await rig.transport.start(() => {
      refused = true;
      throw new Error('disk full');
    });
    await until(rig.transport.onStatus, () => rig.transport.status().state === 'connected');
    const client = await publisher(rig.url);
    client.publish('warm/door', '1', { qos: 1 });
    await until(clock, () => refused);
    const began = performance.now();
    await rig.transport.stop();
    // It gives its client a second; the rest is what a busy machine may take.
    expect(performance.now() - began).toBeLessThan(10_000);
    expect(rig.transport.status().state).toBe('closed');
  });
});
