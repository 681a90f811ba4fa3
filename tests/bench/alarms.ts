import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { SMTPServer } from 'smtp-server';
import { createMailer } from '../../alerts/delivery/mailer.ts';
import { createInProcessTransport } from '../../collector/intake/in-process-transport.ts';
import { migrations } from '../../collector/main.ts';
import { openSite } from '../../collector/site.ts';
import { openDatabase } from '../../collector/store/open-database.ts';
import { systemClock as clock } from '../../collector/system-clock.ts';
import { buildFarm } from '../../shared/farm/farm.ts';
import { farmFile } from '../../shared/farm/schema.ts';
import { until } from '../tools/until.ts';
import type { Figure } from './figure.ts';

const onDelayS = 1;

/** Rooms of one sensor each; every third alarm is of each priority. */
const farmOf = (rooms: number) =>
  buildFarm(
    farmFile.parse({
      site: { id: 'bench', name: 'Bench', timeZone: 'UTC' },
      rooms: Array.from({ length: rooms }, (_, n) => ({
        id: `r${n}`,
        name: `Room ${n}`,
        limits: { temperature: { high: 28, onDelayS, predict: false, priority: (n % 3) + 1 } },
      })),
      sensors: Array.from({ length: rooms }, (_, n) => ({
        ...{ id: `s${n}`, topic: `bench/${n}`, decoder: 'plain', at: `r${n}`, everyS: 3600 },
        channels: [{ quantity: 'temperature', unit: 'degC' }],
      })),
      people: [{ id: 'rowan', name: 'Rowan', email: 'rowan@fernhollow.example' }],
      notify: ['rowan'],
      mail: { host: '127.0.0.1', port: 25, from: 'alarms@fernhollow.example' },
    }),
    [],
  );

/** A real SMTP server that notes when it has taken the mail of which room. */
async function startMailbox() {
  const taken: { room: number; at: number }[] = [];
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS', 'AUTH'],
    disableReverseLookup: true,
    onData(stream, _session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk) => chunks.push(chunk));
      stream.on('end', () => {
        const room = /^Subject: (?:=\?UTF-8\?Q\?)?Room[ _](\d+)[ _]too[ _]warm/im.exec(
          Buffer.concat(chunks).toString(),
        )?.[1];
        if (room !== undefined) taken.push({ room: Number(room), at: performance.now() });
        done();
      });
    },
  });
  server.on('error', () => {});
  server.listen(0, '127.0.0.1');
  await once(server.server, 'listening');
  return {
    taken,
    port: (server.server.address() as AddressInfo).port,
    close: () => new Promise<void>((resolve) => server.close(() => resolve())),
  };
}

/** A whole site on disk with its alarms, delivering to a mailbox; all rooms are beyond the limit, not yet for long enough. */
async function openRinging(rooms: number) {
  const folder = mkdtempSync(join(tmpdir(), 'bench-alarms-'));
  const farm = farmOf(rooms);
  const mailbox = await startMailbox();
  const database = openDatabase({ file: join(folder, 'site.db'), synchronous: 'FULL', migrations, clock });
  const transport = createInProcessTransport({ clock });
  const server = { host: '127.0.0.1', port: mailbox.port, secure: false, from: 'alarms@fernhollow.example' };
  const site = openSite({
    ...{ kind: 'farm', farm, clock, pace: clock, transport, database, forecasts: null, log: () => {} },
    mailer: createMailer(server, clock),
  });
  await site.start();
  const say = (room: number, value: number) => transport.deliver(`bench/${room}`, String(value));
  for (let room = 0; room < rooms; room++) say(room, 24);
  await wait(50);
  for (let room = 0; room < rooms; room++) say(room, 29);
  await wait(onDelayS * 1000 + 100);
  return {
    mailbox,
    say,
    async close() {
      await site.close();
      database.close();
      await mailbox.close();
      rmSync(folder, { recursive: true });
    },
  };
}
const wait = (ms: number) => new Promise<void>((resolve) => clock.after(ms, resolve));
const quantile = (sorted: readonly number[], share: number) =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!;

/** From the reading that completes the on-delay to the mail accepted, one alarm after another, ms. */
async function latencies(alarms: number): Promise<number[]> {
  const { mailbox, say, close } = await openRinging(alarms);
  const taken: number[] = [];
  for (let room = 0; room < alarms; room++) {
    const before = performance.now();
    say(room, 29.5);
    await until(clock, () => mailbox.taken.length > room);
    taken.push(mailbox.taken[room]!.at - before);
  }
  await close();
  return taken.sort((a, b) => a - b);
}

/** A thousand at once: seconds until all are out, and whether urgent ones went first. */
async function flood(alarms: number) {
  const { mailbox, say, close } = await openRinging(alarms);
  const before = performance.now();
  for (let room = 0; room < alarms; room++) say(room, 29.5);
  await until(clock, () => mailbox.taken.length >= alarms);
  const lastOf = (priority: number) =>
    Math.max(...mailbox.taken.filter(({ room }) => (room % 3) + 1 === priority).map(({ at }) => at));
  const seconds = (at: number) => (at - before) / 1000;
  const found = { rooms: new Set(mailbox.taken.map(({ room }) => room)).size };
  const ends = [1, 2, 3].map((priority) => seconds(lastOf(priority)));
  await close();
  return { ...found, ends };
}

export async function run(): Promise<Figure[]> {
  const sorted = await latencies(200);
  const { rooms, ends } = await flood(1000);
  const figure = (name: string, value: number, unit: string, goal: string | null, holds: boolean | null) => ({
    ...{ name, value, unit, goal, holds, baseline: null, ratio: null },
  });
  const p99 = quantile(sorted, 0.99);
  const [first, second, last] = ends as [number, number, number];
  return [
    figure('completing reading to mail accepted, 200 alarms, p50', quantile(sorted, 0.5), 'ms', null, null),
    figure('the same, p99', p99, 'ms', '<= 1000', p99 <= 1000),
    figure('1,000 alarms at once: different mails out', rooms, 'mails', '1000', rooms === 1000),
    figure('the last of high priority out after', first, 's', null, null),
    figure('the last of medium priority out after', second, 's', 'after high', second > first),
    figure(
      'the last of low priority, and so all, out after',
      last,
      's',
      '<= 60',
      last > second && last <= 60,
    ),
  ];
}
