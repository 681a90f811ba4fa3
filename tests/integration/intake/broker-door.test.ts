import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import mqtt from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { createBrokerGuard } from '../../../collector/intake/broker-guard.ts';
import { createEmbeddedBroker } from '../../../collector/intake/embedded-broker.ts';
import { systemClock as clock } from '../../../collector/system-clock.ts';
import { createDevices } from '../../../dashboard/server/doors/devices.ts';
import { doorMigrations } from '../../../dashboard/server/doors/migrations.ts';
import { selfSigned } from '../../tools/certificate.ts';
import { until } from '../../tools/until.ts';

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

/** The built-in broker with a lock, and a sensor that may publish below `sensors/warm`. */
async function run(tls?: { cert: string; key: string }) {
  const database = new Database(':memory:');
  for (const { sql } of doorMigrations) database.exec(sql);
  const devices = createDevices({ database, clock });
  const log = () => {};
  const guard = createBrokerGuard({ door: devices.door, clock, alarmTopics: 'shelfwarden/x', log });
  const broker = createEmbeddedBroker({ clock, port: 0, log, guard, tls });
  closers.push(() => broker.stop());
  const got: string[] = [];
  let largest = 0;
  await broker.start(({ topic, payload }) => {
    largest = Math.max(largest, payload.length);
    got.push(`${topic}=${Buffer.from(payload).toString().slice(0, 20)}`);
  });
  const { port } = broker.address();
  const sensor = devices.make('warm-air', 'sensors/warm', false, 'Ida');
  return { broker, devices, got, port, sensor, largest: () => largest };
}

/** Debian's mosquitto_pub or mosquitto_sub; answers with its exit code and what it said. */
function client(program: 'mosquitto_pub' | 'mosquitto_sub', port: number, args: string[]) {
  const child = spawn(program, ['-h', '127.0.0.1', '-p', String(port), '-V', 'mqttv311', ...args]);
  let said = '';
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (chunk) => (said += chunk));
  const ended = new Promise<{ code: number | null; said: string }>((resolve) =>
    child.once('close', (code) => resolve({ code, said })),
  );
  closers.push(() => child.kill('SIGKILL'));
  return { ended, write: (bytes: Buffer) => child.stdin.end(bytes) };
}

const access = (user: string, password: string) => ['-u', user, '-P', password];
const publish = (topic: string, text: string) => ['-q', '1', '-t', topic, '-m', text];

describe('the lock of the built-in broker', () => {
  it('takes a reading of a device below its topic', async () => {
    const { port, sensor, got } = await run();
    const sent = client('mosquitto_pub', port, [
      ...access('warm-air', sensor.password),
      ...publish('sensors/warm/air', '21.5'),
    ]);
    expect(await sent.ended).toMatchObject({ code: 0 });
    expect(got).toEqual(['sensors/warm/air=21.5']);
  });

  it.each([
    ['nobody', []],
    ['a wrong password', access('warm-air', 'guess')],
    ['an empty password', access('warm-air', '')],
    ['an unknown user', access('cold-air', 'guess')],
  ])('turns away %s', async (_, args) => {
    const { port, got } = await run();
    const sent = client('mosquitto_pub', port, [...args, ...publish('sensors/warm/air', '99')]);
    const { code, said } = await sent.ended;
    expect(code).not.toBe(0);
    expect(said).toMatch(/not authori[sz]ed|bad user ?name or password/i);
    expect(got).toEqual([]);
  });

  it.each(['sensors/cold/air', 'sensors/warmer', 'sensors', '$SYS/x'])(
    'ends the connection of a device that publishes to %s',
    async (topic) => {
      const { port, sensor, got } = await run();
      const sent = client('mosquitto_pub', port, [
        ...access('warm-air', sensor.password),
        ...publish(topic, '99'),
      ]);
      expect((await sent.ended).code).not.toBe(0);
      expect(got).toEqual([]);
    },
  );

  it('lets no sensor listen, and a horn to the alarms alone', async () => {
    const { broker, devices, port, sensor } = await run();
    const horn = devices.make('horn', 'horns/lab', true, 'Ida');
    const listen = (user: string, password: string, filter: string) =>
      client('mosquitto_sub', port, [...access(user, password), '-t', filter, '-C', '1', '-W', '20']);
    const refused = [
      listen('warm-air', sensor.password, 'shelfwarden/x/#'),
      listen('horn', horn.password, '#'),
      listen('horn', horn.password, 'sensors/warm/air'),
    ];
    for (const { ended } of refused) expect((await ended).said).toMatch(/denied|not authori/i);
    const heard = listen('horn', horn.password, 'shelfwarden/x/#');
    await broker.publish('shelfwarden/x/beacon', 'on', { retain: true });
    expect(await heard.ended).toMatchObject({ code: 0, said: 'on\n' });
  });

  it('takes no more of a packet than a reading needs, and hears others meanwhile', async () => {
    const { port, sensor, got, largest } = await run();
    const args = access('warm-air', sensor.password);
    const large = client('mosquitto_pub', port, [...args, '-q', '1', '-t', 'sensors/warm/large', '-s']);
    large.write(Buffer.alloc(10_000_000, '7'));
    const small = client('mosquitto_pub', port, [...args, ...publish('sensors/warm/air', '21.5')]);
    expect(await small.ended).toMatchObject({ code: 0 });
    await large.ended;
    expect(got).toContain('sensors/warm/air=21.5');
    expect(largest()).toBeLessThan(1_000_000);
  });

  it('hears a device in time while a thousand strangers connect', async () => {
    const { port, sensor, got } = await run();
    for (let n = 0; n < 1_000; n++) {
      const socket = connect(port, '127.0.0.1');
      socket.on('error', () => {});
      closers.push(() => socket.destroy());
    }
    const device = mqtt.connect(`mqtt://127.0.0.1:${port}`, {
      protocolVersion: 4,
      username: 'warm-air',
      password: sensor.password,
      reconnectPeriod: 200,
    });
    closers.push(() => device.end(true));
    await device.publishAsync('sensors/warm/air', '21.5', { qos: 1 });
    expect(got).toEqual(['sensors/warm/air=21.5']);
  });

  it('ends the connection of a device that was shut out', async () => {
    const { devices, port, sensor } = await run();
    const device = await mqtt.connectAsync(`mqtt://127.0.0.1:${port}`, {
      protocolVersion: 4,
      username: 'warm-air',
      password: sensor.password,
      reconnectPeriod: 0,
    });
    closers.push(() => device.endAsync(true));
    devices.revoke(sensor.device.id);
    await until(clock, () => !device.connected);
    const again = client('mosquitto_pub', port, [
      ...access('warm-air', sensor.password),
      ...publish('sensors/warm/air', '1'),
    ]);
    expect((await again.ended).code).not.toBe(0);
  });

  it('speaks TLS alone where it has a certificate, also after that was renewed', async () => {
    const [first, renewed] = [selfSigned('localhost'), selfSigned('localhost')];
    const { broker, port, sensor, got } = await run(first);
    const folder = mkdtempSync(join(tmpdir(), 'broker-ca-'));
    closers.push(() => rmSync(folder, { recursive: true }));
    const trusting = (pem: string): string[] => {
      writeFileSync(join(folder, 'ca.pem'), pem);
      return ['-h', 'localhost', '--cafile', join(folder, 'ca.pem')];
    };
    const send = async (how: string[], text: string) =>
      (
        await client('mosquitto_pub', port, [
          ...access('warm-air', sensor.password),
          ...how,
          ...publish('sensors/warm/air', text),
        ]).ended
      ).code;
    expect(await send(trusting(first.cert), '21.5')).toBe(0);
    expect(await send([], 'in clear')).not.toBe(0);
    broker.renew(renewed);
    expect(await send(trusting(renewed.cert), '21.6')).toBe(0);
    expect(await send(trusting(first.cert), 'no longer')).not.toBe(0);
    expect(got).toEqual(['sensors/warm/air=21.5', 'sensors/warm/air=21.6']);
  });

  it('makes an address wait that tries one password after another', async () => {
    const { port } = await run();
    const codes: number[] = [];
    for (let n = 0; n < 22; n++) {
      const tried = await mqtt
        .connectAsync(`mqtt://127.0.0.1:${port}`, {
          protocolVersion: 4,
          username: 'warm-air',
          password: `guess ${n}`,
          reconnectPeriod: 0,
        })
        .catch((refused: { code: number }) => refused);
      codes.push((tried as { code: number }).code);
    }
    expect(codes.slice(0, 20)).toEqual(Array.from({ length: 20 }, () => 4));
    expect(codes.slice(20)).toEqual([3, 3]);
  });
});
