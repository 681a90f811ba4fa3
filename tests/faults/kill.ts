import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import SQLite, { type Database } from 'better-sqlite3';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { databaseName } from '../../collector/data-folder.ts';
import { recount } from '../../collector/store/recount.ts';
import { systemClock as clock } from '../../collector/system-clock.ts';
import type { Figure } from '../bench/figure.ts';
import { watchAcks } from '../tools/ack-watch.ts';
import buildOnce from '../tools/built.ts';
import { startMosquitto } from '../tools/mosquitto.ts';
import { startTcpProxy } from '../tools/tcp-proxy.ts';
import { until } from '../tools/until.ts';
import { startMailSink } from './mail-sink.ts';
import {
  deadbandC,
  edgeCount,
  expectedTurns,
  limitC,
  type Sent,
  sensorCount,
  startReadingStream,
  topicOf,
} from './reading-stream.ts';

const seed = 20_260_301;
/** The kill comes this long after the first acknowledgement of a round, at random, ms. */
const longestLifeMs = 400;
const command = fileURLToPath(new URL('../../dist/collector/cli.js', import.meta.url));

const farmYaml = (brokerPort: number, mailPort: number): string => `
site: { id: kill-test, name: Kill test, timeZone: UTC }
rooms:
  - { id: calm, name: Calm room }
${Array.from(
  { length: edgeCount },
  (_, sensor) => `  - id: e${sensor}
    name: Edge room ${sensor}
    limits: { temperature: { high: ${limitC}, deadband: ${deadbandC}, onDelayS: 0, offDelayS: 0 } }`,
).join('\n')}
sensors:
${Array.from(
  { length: sensorCount },
  (_, sensor) => `  - id: s${sensor}
    topic: ${topicOf(sensor)}
    decoder: json
    timePointer: /at
    everyS: 600
    at: ${sensor < edgeCount ? `e${sensor}` : 'calm'}
    channels: [{ quantity: temperature, unit: degC, pointer: /value }]`,
).join('\n')}
people: [{ id: rowan, name: Rowan, email: rowan@fernhollow.example }]
notify: [rowan]
broker: { url: "mqtt://127.0.0.1:${brokerPort}" }
mail: { host: 127.0.0.1, port: ${mailPort}, from: alarms@fernhollow.example }
`;

/** The command as a person starts it. Resolves once it says that it is open. */
async function startCollector(farmFile: string, dataFolder: string): Promise<ChildProcess> {
  const words = ['run', '--farm', farmFile, '--data', dataFolder, '--port', '0'];
  const child = spawn(process.execPath, [command, ...words], { stdio: ['ignore', 'pipe', 'pipe'] });
  let said = '';
  await new Promise<void>((resolve, reject) => {
    const hear = (chunk: Buffer): void => {
      said = (said + chunk).slice(-4000);
      if (said.includes(': open ')) resolve();
    };
    child.stdout.on('data', hear);
    child.stderr.on('data', hear);
    child.once('error', reject);
    child.once('exit', (code) => reject(new Error(`the collector ended with ${code}: ${said}`)));
  });
  return child;
}

async function end(child: ChildProcess, signal: 'SIGKILL' | 'SIGTERM'): Promise<number | null> {
  const ended = new Promise<number | null>((resolve) => child.once('exit', resolve));
  child.kill(signal);
  return ended;
}

/** A handle that only looks, and leaves what a crash left to the collector. */
function look<T>(dataFolder: string, question: (database: Database) => T): T {
  const database = new SQLite(join(dataFolder, databaseName), { readonly: true });
  try {
    return question(database);
  } finally {
    database.close();
  }
}

interface Seen {
  sensor: number;
  t: number;
  value: number;
}

const stored = `SELECT value FROM reading JOIN series ON series.id = reading.series
  WHERE channel = ? AND t = ?`;

/** How many of these readings are not in the store as they were sent. */
function missing(database: Database, readings: readonly Seen[]): number {
  const find = database.prepare<[string, number], number>(stored).pluck();
  return readings.filter(({ sensor, t, value }) => find.get(`s${sensor}.temperature`, t) !== value).length;
}

interface JournalLine {
  alarm: string;
  from: string;
  to: string;
}

/** Lines of the journal that do not begin where the alarm's line before them ended. */
function brokenLinks(lines: readonly JournalLine[]): number {
  const at = new Map<string, string>();
  let broken = 0;
  for (const { alarm, from, to } of lines) {
    if (from !== (at.get(alarm) ?? 'normal')) broken++;
    at.set(alarm, to);
  }
  return broken;
}

const ringing = 'unacknowledged';
const returned = 'returned-unacknowledged';

/** Everything that is to be said of the store at the end. */
function audit(database: Database, sent: readonly (readonly Sent[])[]) {
  const all = sent.flatMap((own, sensor) => own.map((reading) => ({ sensor, ...reading })));
  const lines = database
    .prepare<[], JournalLine>(
      'SELECT alarm, from_state AS "from", to_state AS "to" FROM alarm_journal ORDER BY seq',
    )
    .all();
  const turned = (edge: number, to: string) =>
    lines.filter((line) => line.alarm === `high/e${edge}.temperature` && line.to === to && line.from !== to)
      .length;
  let turns = 0;
  let lostTurns = 0;
  for (let edge = 0; edge < edgeCount; edge++) {
    const { begins, ends } = expectedTurns(sent[edge] ?? []);
    turns += begins + ends;
    lostTurns += Math.abs(begins - turned(edge, ringing)) + Math.abs(ends - turned(edge, returned));
  }
  const outbox = database
    .prepare<[], { id: string; state: string }>(
      "SELECT json_extract(message, '$.messageId') AS id, state FROM alarm_outbox",
    )
    .all();
  return {
    rows: database.prepare<[], number>('SELECT count(*) FROM reading').pluck().get() ?? 0,
    missing: missing(database, all),
    recount: recount(database),
    turns,
    lostTurns,
    broken: brokenLinks(lines),
    untold:
      database
        .prepare<[], number>(
          `SELECT count(*) FROM alarm_journal
          WHERE from_state <> to_state AND seq NOT IN (SELECT seq FROM alarm_outbox)`,
        )
        .pluck()
        .get() ?? 0,
    outbox,
  };
}

/** Kills the collector again and again while readings stream, and counts what was lost. */
export async function killAgainAndAgain(rounds: number) {
  buildOnce();
  const random = xoroshiro128plus(seed);
  await using broker = await startMosquitto(['allow_anonymous true', 'max_queued_messages 0']);
  const mail = await startMailSink();
  const folder = mkdtempSync(join(tmpdir(), 'shelfwarden-kill-'));
  const dataFolder = join(folder, 'data');
  const farmFile = join(folder, 'farm.yaml');
  const counts = { acknowledged: 0, redelivered: 0, lostAfterAck: 0, midStream: 0, inFlight: 0 };
  let acknowledged: Seen[] = [];
  const everAcknowledged = new Set<string>();
  const proxy = await startTcpProxy(broker.port, () =>
    watchAcks({
      onDelivered(redelivered) {
        counts.inFlight++;
        if (redelivered) counts.redelivered++;
      },
      onAcknowledged(topic, payload) {
        counts.inFlight--;
        const { at: t, value } = JSON.parse(payload);
        acknowledged.push({ sensor: Number(topic.split('/')[1]), t, value });
        everAcknowledged.add(`${topic} ${t}`);
      },
    }),
  );
  writeFileSync(farmFile, farmYaml(proxy.port, mail.port));
  const checkAcknowledged = (): void => {
    counts.acknowledged += acknowledged.length;
    counts.lostAfterAck += look(dataFolder, (database) => missing(database, acknowledged));
    acknowledged = [];
  };

  // The broker keeps what comes for the collector only from its first visit on.
  const first = await startCollector(farmFile, dataFolder);
  await until(clock, () => proxy.open() > 0);
  const stream = await startReadingStream({ url: broker.url, clock });
  await until(clock, () => acknowledged.length > 0);

  let child = first;
  for (let round = 0; round < rounds; round++) {
    if (round > 0) child = await startCollector(farmFile, dataFolder);
    await until(clock, () => acknowledged.length > 0);
    const lifeMs = uniformInt(random, 0, longestLifeMs);
    await new Promise<void>((resolve) => clock.after(lifeMs, resolve));
    await end(child, 'SIGKILL');
    await until(clock, () => proxy.open() === 0);
    if (counts.inFlight > 0) counts.midStream++;
    counts.inFlight = 0;
    checkAcknowledged();
  }

  await stream.stop();
  child = await startCollector(farmFile, dataFolder);
  const mailsWaiting = () =>
    look(dataFolder, (database) =>
      database.prepare<[], number>("SELECT count(*) FROM alarm_outbox WHERE state = 'waiting'").pluck().get(),
    );
  const published = stream.sent.reduce((sum, own) => sum + own.length, 0);
  let calm = 0;
  let before = -1;
  // Redeliveries change nothing in the store, so what is waited for is the last acknowledgement; or, where
  // something is lost, twenty seconds without any.
  await until(
    (listener) => clock.every(500, listener),
    () => {
      calm = acknowledged.length === before ? calm + 1 : 0;
      before = acknowledged.length;
      return (everAcknowledged.size === published && mailsWaiting() === 0) || calm >= 40;
    },
  );
  const exitCode = await end(child, 'SIGTERM');
  checkAcknowledged();
  const found = look(dataFolder, (database) => audit(database, stream.sent));
  const mailed = {
    queued: found.outbox.length,
    lost: found.outbox.filter(({ id }) => !mail.taken.has(id)).length,
    strangers: [...mail.taken.keys()].filter((id) => !found.outbox.some((row) => row.id === id)).length,
    repeated: [...mail.taken.values()].filter((times) => times > 1).length,
  };
  await proxy.close();
  await mail.close();
  rmSync(folder, { recursive: true });
  return {
    rounds,
    published,
    unacknowledged: published - everAcknowledged.size,
    counts,
    found,
    mailed,
    exitCode,
  };
}

export async function run(): Promise<Figure[]> {
  const { rounds, published, unacknowledged, counts, found, mailed, exitCode } = await killAgainAndAgain(100);
  const told = (name: string, value: number, unit: string): Figure => ({
    ...{ name, value, unit, baseline: null, ratio: null, goal: null, holds: null },
  });
  const none = (name: string, value: number, unit: string): Figure => ({
    ...told(name, value, unit),
    goal: '0',
    holds: value === 0,
  });
  const some = (name: string, value: number, unit: string, least: number): Figure => ({
    ...told(name, value, unit),
    goal: `>= ${least}`,
    holds: value >= least,
  });
  return [
    told('kills (kill -9)', rounds, 'rounds'),
    some('kills with messages unacknowledged', counts.midStream, 'rounds', 1),
    told('published at QoS 1', published, 'readings'),
    told('acknowledged by the collector', counts.acknowledged, 'readings'),
    some('delivered again by the broker', counts.redelivered, 'messages', 1),
    none('acknowledged and not in the store', counts.lostAfterAck, 'readings'),
    none('published and not in the store at the end', found.missing, 'readings'),
    none('published and never acknowledged by the collector', unacknowledged, 'readings'),
    none('more or fewer in the store than published', Math.abs(found.rows - published), 'readings'),
    told('roll-up buckets counted again', found.recount.buckets, 'buckets'),
    none('roll-up buckets that differ from the readings', found.recount.wrong, 'buckets'),
    some('times the alarm condition began or ended', found.turns, 'transitions', 10),
    none('of them not in the journal, or too many', found.lostTurns, 'transitions'),
    none('journal lines that do not follow on', found.broken, 'lines'),
    none('transitions without a queued email', found.untold, 'transitions'),
    some('messages queued for email', mailed.queued, 'messages', 10),
    none('emails lost', mailed.lost, 'messages'),
    none('emails without a queued message', mailed.strangers, 'messages'),
    told('emails that came more than once (same Message-ID)', mailed.repeated, 'messages'),
    none('exit code after an orderly end', exitCode ?? -1, ''),
  ];
}
