import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import mqtt, { type IClientOptions } from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { createEmbeddedBroker } from '../../../collector/intake/embedded-broker.ts';
import { createMqttTransport, type MqttTransportParts } from '../../../collector/intake/mqtt-transport.ts';
import { systemClock as clock } from '../../../collector/system-clock.ts';
import type { InboundMessage } from '../../../shared/ports.ts';
import { freePort } from '../../tools/free-port.ts';
import { startMosquitto } from '../../tools/mosquitto.ts';
import { startTcpProxy } from '../../tools/tcp-proxy.ts';
import { until } from '../../tools/until.ts';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function mosquitto(lines?: readonly string[]) {
  const broker = await startMosquitto(lines);
  closers.push(() => broker[Symbol.asyncDispose]());
  return broker;
}

function collector(url: string, more: Partial<MqttTransportParts> = {}) {
  const logged: string[] = [];
  const log = (level: string, text: string) => logged.push(`${level} ${text}`);
  const transport = createMqttTransport({ access: { url }, clientId: 'collector', clock, log, ...more });
  closers.push(() => transport.stop());
  const got: InboundMessage[] = [];
  const texts = () => got.map((message) => `${message.topic}=${Buffer.from(message.payload)}`);
  const store = { full: false, refused: 0 };
  const start = () =>
    transport.start((message) => {
      if (store.full) {
        store.refused++;
        throw new Error('disk full');
      }
      got.push(message);
    });
  const reach = (state: string) => until(transport.onStatus, () => transport.status().state === state);
  return { transport, got, texts, logged, store, start, reach };
}

async function device(url: string, options: IClientOptions = {}) {
  const client = await mqtt.connectAsync(url, options);
  closers.push(() => client.endAsync(true));
  return client;
}

const overTls = (url: string) => url.replace('mqtt:', 'mqtts:');

describe('a broker that is away', () => {
  it('at the start is tried again until it is there, and says so', async () => {
    const port = await freePort();
    const { transport, start, reach } = collector(`mqtt://127.0.0.1:${port}`);
    await start();
    await reach('away');
    expect(transport.status().text).toMatch(/is away: nothing listens there/);
    await expect(transport.publish('x', 'y')).rejects.toMatchObject({ code: 'transport' });
    const broker = createEmbeddedBroker({ clock, port, log: () => {} });
    closers.push(() => broker.stop());
    await broker.start(() => {});
    await reach('connected');
  });

  it('later is told once, and nothing is lost that came meanwhile', async () => {
    const broker = await mosquitto([
      'allow_anonymous true',
      'persistence true',
      'persistence_location FOLDER/',
    ]);
    const { transport, texts, logged, start, reach } = collector(broker.url);
    transport.subscribe(['warm/#']);
    await start();
    await reach('connected');
    const first = await device(broker.url);
    await first.publishAsync('warm/a', '1', { qos: 1 });
    await until(clock, () => texts().length === 1);
    await broker.stop();
    await reach('away');
    await broker.start();
    const second = await device(broker.url);
    await second.publishAsync('warm/a', '2', { qos: 1 });
    await reach('connected');
    await until(clock, () => texts().length === 2);
    expect(texts()).toEqual(['warm/a=1', 'warm/a=2']);
    expect(logged.filter((line) => line.includes('is away'))).toHaveLength(1);
  });
});

describe('the session', () => {
  it('keeps for the collector what comes while it does not run', async () => {
    const broker = await mosquitto();
    const before = collector(broker.url);
    before.transport.subscribe(['warm/#']);
    await before.start();
    await before.reach('connected');
    const client = await device(broker.url);
    await client.publishAsync('warm/a', '0', { qos: 1 });
    await until(clock, () => before.got.length === 1);
    await before.transport.stop();
    for (const text of ['1', '2', '3']) await client.publishAsync('warm/a', text, { qos: 1 });
    const after = collector(broker.url);
    after.transport.subscribe(['warm/#']);
    await after.start();
    await until(clock, () => after.got.length === 3);
    expect(after.texts()).toEqual(['warm/a=1', 'warm/a=2', 'warm/a=3']);
  });

  it('marks what was retained, and does not have it again at a reconnect', async () => {
    const broker = await mosquitto();
    const client = await device(broker.url);
    await client.publishAsync('warm/a', 'kept', { qos: 1, retain: true });
    const proxy = await startTcpProxy(broker.port);
    closers.push(proxy.close);
    const { transport, got, start, reach } = collector(`mqtt://127.0.0.1:${proxy.port}`, { discover: false });
    transport.subscribe(['warm/#']);
    await start();
    await until(clock, () => got.length === 1);
    // Answered by the broker after the acknowledgement before it, which the cut must not swallow.
    await transport.publish('elsewhere', 'over');
    proxy.cut();
    await reach('away');
    await reach('connected');
    await client.publishAsync('warm/a', 'fresh', { qos: 1, retain: true });
    await until(clock, () => got.length === 2);
    expect(got.map((message) => message.retained)).toEqual([true, false]);
  });

  it('has a message once more when the connection is lost while the store refuses it', async () => {
    const broker = await mosquitto();
    const proxy = await startTcpProxy(broker.port);
    closers.push(proxy.close);
    const { transport, store, texts, start, reach } = collector(`mqtt://127.0.0.1:${proxy.port}`);
    transport.subscribe(['warm/#']);
    await start();
    await reach('connected');
    store.full = true;
    const client = await device(broker.url);
    for (const text of ['1', '2', '3']) await client.publishAsync('warm/a', text, { qos: 1 });
    await until(clock, () => store.refused >= 1);
    proxy.cut();
    await reach('away');
    await reach('connected');
    await until(clock, () => store.refused >= 3);
    store.full = false;
    await until(clock, () => texts().length >= 3);
    await client.publishAsync('warm/a', '4', { qos: 1 });
    await until(clock, () => texts().includes('warm/a=4'));
    expect(texts()).toEqual(['warm/a=1', 'warm/a=2', 'warm/a=3', 'warm/a=4']);
  });

  it('follows a change of the topics', async () => {
    const broker = await mosquitto();
    const { transport, texts, start, reach } = collector(broker.url, { discover: false });
    transport.subscribe(['warm/a']);
    await start();
    await reach('connected');
    transport.subscribe(['cold/+']);
    const client = await device(broker.url);
    const says = async (topic: string, text: string) => client.publishAsync(topic, text, { qos: 1 });
    await until(clock, () => {
      client.publish('cold/x', 'probe', { qos: 1 });
      return texts().includes('cold/x=probe');
    });
    await says('warm/a', 'no longer');
    await says('cold/b', 'last');
    await until(clock, () => texts().includes('cold/b=last'));
    expect(texts().filter((text) => text !== 'cold/x=probe')).toEqual(['cold/b=last']);
  });
});

describe('what the broker asks for', () => {
  it('MQTT 3.1.1 is spoken where there is nothing newer', async () => {
    const broker = createEmbeddedBroker({ clock, port: 0, log: () => {} });
    closers.push(() => broker.stop());
    await broker.start(() => {});
    const url = `mqtt://127.0.0.1:${broker.address().port}`;
    const { transport, texts, start, reach } = collector(url, { discover: false });
    transport.subscribe(['warm/#']);
    await start();
    await reach('connected');
    expect(transport.status().text).toContain('MQTT 3.1.1');
    const client = await device(url);
    await until(clock, () => {
      client.publish('warm/a', '1', { qos: 1 });
      return texts().includes('warm/a=1');
    });
  });

  it('a user and a password, which are never told', async () => {
    const open = await mosquitto(['allow_anonymous false', `password_file ${usersFile()}`]);
    const wrong = collector(open.url, { access: { url: open.url, username: 'farm', password: 'moulds' } });
    await wrong.start();
    await wrong.reach('away');
    expect(wrong.transport.status().text).toMatch(/refuses the user name or password|does not let this user/);
    expect(JSON.stringify([wrong.transport.status(), wrong.logged])).not.toContain('moulds');
    const right = collector(open.url, {
      access: { url: open.url, username: 'farm', password: 'spores' },
      clientId: 'right',
    });
    await right.start();
    await right.reach('connected');
  });

  it('TLS with a certificate on both sides', async () => {
    const pki = makeCertificates();
    const broker = await mosquitto([
      'allow_anonymous true',
      'require_certificate true',
      `cafile ${pki.ca}`,
      `certfile ${pki.cert}`,
      `keyfile ${pki.key}`,
    ]);
    const url = overTls(broker.url);
    const strange = collector(url, { access: { url } });
    await strange.start();
    await strange.reach('away');
    expect(strange.transport.status().text).toContain('broker.caFile');
    const [ca, cert, key] = [readFileSync(pki.ca), readFileSync(pki.cert), readFileSync(pki.key)];
    const known = collector(url, { access: { url, ca, cert, key }, clientId: 'known' });
    await known.start();
    await known.reach('connected');
  });
});

describe('presence', () => {
  it('is online while connected, offline by last will, offline after a stop', async () => {
    const broker = await mosquitto();
    const proxy = await startTcpProxy(broker.port);
    closers.push(proxy.close);
    const watcher = await device(broker.url);
    const seen: string[] = [];
    watcher.on('message', (_topic, payload) => seen.push(String(payload)));
    await watcher.subscribeAsync('shelfwarden/presence', { qos: 1 });
    const { transport, start } = collector(`mqtt://127.0.0.1:${proxy.port}`, {
      presenceTopic: 'shelfwarden/presence',
    });
    await start();
    await until(clock, () => seen.length === 1);
    proxy.cut();
    await until(clock, () => seen.length === 3);
    await transport.stop();
    await until(clock, () => seen.length === 4);
    expect(seen).toEqual(['online', 'offline', 'online', 'offline']);
  });
});

describe('looking for sensors that nobody placed', () => {
  it('brings other topics in and a placed one only once', async () => {
    const broker = await mosquitto();
    const { transport, texts, start, reach } = collector(broker.url);
    transport.subscribe(['warm/+']);
    await start();
    await reach('connected');
    const client = await device(broker.url);
    await until(clock, () => {
      client.publish('garage/door', 'open');
      return texts().includes('garage/door=open');
    });
    for (let at = 0; at < 20; at++) await client.publishAsync('warm/a', String(at), { qos: 1 });
    await client.publishAsync('garage/door', 'last', { qos: 1 });
    await until(clock, () => texts().includes('garage/door=last') && texts().includes('warm/a=19'));
    expect(texts().filter((text) => text.startsWith('warm/'))).toHaveLength(20);
  });

  it('leaves a broker alone that carries very much else', async () => {
    const broker = await mosquitto();
    const { got, logged, start, reach } = collector(broker.url);
    await start();
    await reach('connected');
    const client = await device(broker.url);
    await until(clock, () => {
      for (let at = 0; at < 200; at++) client.publish('camera/frames', String(at), { qos: 1 });
      return logged.some((line) => line.includes('looking for new sensors waits'));
    });
    expect(got.length).toBeLessThanOrEqual(5000);
  });
});

it('hands over ten megabytes, for intake to count', async () => {
  const broker = await mosquitto();
  const { transport, got, start, reach } = collector(broker.url);
  transport.subscribe(['warm/#']);
  await start();
  await reach('connected');
  const client = await device(broker.url);
  await client.publishAsync('warm/a', Buffer.alloc(10_000_000, 0x31), { qos: 1 });
  await until(clock, () => got.length === 1);
  expect(got[0]?.payload.length).toBe(10_000_000);
});

function folderOf(name: string): string {
  const folder = execFileSync('mktemp', ['-d', '-t', `shelfwarden-${name}-XXXXXX`])
    .toString()
    .trim();
  closers.push(() => execFileSync('rm', ['-r', folder]));
  return folder;
}

function usersFile(): string {
  const file = join(folderOf('users'), 'users');
  execFileSync('mosquitto_passwd', ['-b', '-c', file, 'farm', 'spores']);
  return file;
}

/** A CA and one certificate that serves the broker and its client. */
function makeCertificates() {
  const folder = folderOf('certificates');
  const at = (name: string) => join(folder, name);
  const openssl = (...args: string[]) => execFileSync('openssl', args, { cwd: folder, stdio: 'ignore' });
  const ecKey = ['-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes'];
  openssl(
    'req',
    '-x509',
    ...ecKey,
    '-keyout',
    'ca.key',
    '-out',
    'ca.pem',
    '-subj',
    '/CN=Fernhollow CA',
    '-days',
    '2',
  );
  openssl('req', ...ecKey, '-keyout', 'key.pem', '-out', 'request.pem', '-subj', '/CN=localhost');
  writeFileSync(at('names'), 'subjectAltName=IP:127.0.0.1');
  const signing = ['-CA', 'ca.pem', '-CAkey', 'ca.key', '-CAcreateserial', '-extfile', 'names', '-days', '2'];
  openssl('x509', '-req', '-in', 'request.pem', '-out', 'cert.pem', ...signing);
  return { ca: at('ca.pem'), cert: at('cert.pem'), key: at('key.pem') };
}
