import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Database } from 'better-sqlite3';
import mqtt from 'mqtt';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { systemClock as clock } from '../../collector/system-clock.ts';
import type { Figure } from '../bench/figure.ts';
import buildOnce from '../tools/built.ts';
import { collectorInTurns } from '../tools/collector.ts';
import { startMosquitto } from '../tools/mosquitto.ts';
import { openFolder } from '../tools/open-folder.ts';
import { until } from '../tools/until.ts';
import { look } from './kill-audit.ts';
import { moods, startMoodyMail } from './moody-mail.ts';

const seed = 20_261_125;
const roomCount = 24;
/** Rooms that turn in a round; each turns again six rounds later, so that none of them chatters. */
const roomsARound = 4;
const longestLifeMs = 600;
/** The longest wait at the end: a slow retry, and some. */
const settleMs = 400_000;

const farmYaml = (brokerPort: number, mailPort: number): string => `
site: { id: mood-test, name: Mood test, timeZone: UTC }
rooms:
${Array.from(
  { length: roomCount },
  (_, n) =>
    `  - { id: r${n}, name: Room ${n}, limits: { temperature: { high: 28, deadband: 0.5, onDelayS: 0, offDelayS: 0, predict: false } } }`,
).join('\n')}
sensors:
${Array.from(
  { length: roomCount },
  (_, n) => `  - id: s${n}
    topic: mood/${n}
    decoder: plain
    everyS: 3600
    at: r${n}
    channels: [{ quantity: temperature, unit: degC }]`,
).join('\n')}
people:
  - { id: rowan, name: Rowan, email: rowan@fernhollow.example }
  - { id: ash, name: Ash, email: ash@fernhollow.example }
routes: [{ id: default, steps: [{ tell: [rowan] }, { tell: [ash] }] }]
broker: { url: "mqtt://127.0.0.1:${brokerPort}" }
mail: { host: 127.0.0.1, port: ${mailPort}, from: alarms@fernhollow.example }
`;

interface Row {
  seq: number;
  id: string;
  state: string;
  recipient: string;
  reason: string;
}

/** What became of every transition, from the journal, the outbox and what the mail server took. */
function audit(database: Database, taken: ReadonlyMap<string, number>) {
  const lines = database
    .prepare<[], { seq: number; alarm: string; from: string; to: string }>(
      'SELECT seq, alarm, from_state AS "from", to_state AS "to" FROM alarm_journal ORDER BY seq',
    )
    .all();
  const rows = database
    .prepare<[], Row>(
      `SELECT seq, json_extract(message, '$.messageId') AS id, state, recipient, reason
       FROM alarm_outbox WHERE seq IS NOT NULL`,
    )
    .all();
  const at = new Map<string, string>();
  let broken = 0;
  for (const { alarm, from, to } of lines) {
    if (from !== (at.get(alarm) ?? 'normal')) broken++;
    at.set(alarm, to);
  }
  const bySeq = new Map<number, Row[]>();
  for (const row of rows) bySeq.set(row.seq, [...(bySeq.get(row.seq) ?? []), row]);
  const turns = lines.filter(({ from, to, alarm }) => from !== to && alarm.startsWith('high/'));
  let delivered = 0;
  let escalated = 0;
  let lost = 0;
  for (const { seq } of turns) {
    const told = bySeq.get(seq) ?? [];
    if (told.some(({ id }) => taken.has(id))) delivered++;
    // Given up, and shown so: a row that says failed stands on the wall and in the alarm about delivery.
    else if (told.some(({ state }) => state === 'failed')) escalated++;
    else lost++;
  }
  return {
    turns: turns.length,
    delivered,
    escalated,
    lost,
    broken,
    gaps: lines.filter(({ seq }, index) => seq !== index + 1).length,
    unsent: rows.filter(({ state, id }) => state === 'sent' && !taken.has(id)).length,
    strangers: [...taken.keys()].filter((id) => !rows.some((row) => row.id === id)).length,
    repeated: [...taken.values()].filter((times) => times > 1).length,
  };
}

/** Rounds of alarms while the mail server is in any mood and the collector is killed. */
export async function killAmongMoods(rounds: number) {
  buildOnce();
  const random = xoroshiro128plus(seed);
  await using broker = await startMosquitto(['allow_anonymous true', 'max_queued_messages 0']);
  const mail = await startMoodyMail();
  using folder = openFolder('moods');
  const dataFolder = join(folder.path, 'data');
  const farmFile = join(folder.path, 'farm.yaml');
  writeFileSync(farmFile, farmYaml(broker.port, mail.port));
  await using turns = collectorInTurns(['run', '--farm', farmFile, '--data', dataFolder, '--port', '0']);
  const lines = () =>
    look(dataFolder, (database) =>
      database.prepare<[], number>('SELECT count(*) FROM alarm_journal').pluck().get(),
    ) ?? 0;
  const client = await mqtt.connectAsync(broker.url, { protocolVersion: 4 });
  let kills = 0;

  for (let round = 0; round < rounds; round++) {
    const child = await turns.start();
    mail.turn(moods[uniformInt(random, 0, moods.length - 1)]!);
    const before = lines();
    const turn = Math.floor((round * roomsARound) / roomCount);
    for (let n = 0; n < roomsARound; n++)
      await client.publishAsync(
        `mood/${(round * roomsARound + n) % roomCount}`,
        turn % 2 === 0 ? '29.5' : '24.1',
        { qos: 1 },
      );
    await until(clock, () => lines() > before);
    await new Promise<void>((resolve) => clock.after(uniformInt(random, 0, longestLifeMs), resolve));
    await child.end('SIGKILL');
    kills++;
  }

  mail.turn('takes');
  const child = await turns.start();
  const waiting = () =>
    look(dataFolder, (database) =>
      database.prepare<[], number>("SELECT count(*) FROM alarm_outbox WHERE state = 'waiting'").pluck().get(),
    ) ?? 0;
  const giveUpAt = clock.now() + settleMs;
  await until(
    (listener) => clock.every(500, listener),
    () => waiting() === 0 || clock.now() > giveUpAt,
  );
  const left = waiting();
  await child.end();
  await client.endAsync();
  const found = look(dataFolder, (database) => audit(database, mail.taken));
  await mail.close();
  return { kills, left, found };
}

export async function run(): Promise<Figure[]> {
  const { kills, left, found } = await killAmongMoods(200);
  const told = (name: string, value: number, unit: string): Figure => ({
    ...{ name, value, unit, baseline: null, ratio: null, goal: null, holds: null },
  });
  const none = (name: string, value: number, unit: string): Figure => ({
    ...told(name, value, unit),
    ...{ goal: '0', holds: value === 0 },
  });
  return [
    told('rounds with a mail server in any mood, each ended by kill -9', kills, 'rounds'),
    told('transitions of alarms', found.turns, 'transitions'),
    told('delivered to somebody', found.delivered, 'transitions'),
    told('refused for good to everybody on the route, and shown so', found.escalated, 'transitions'),
    none('neither delivered nor shown as given up', found.lost, 'transitions'),
    none('messages that still wait at the end', left, 'messages'),
    none('noted as sent and not taken by the server', found.unsent, 'messages'),
    none('taken under an id that no message has', found.strangers, 'messages'),
    told('taken more than once, under the id of the first', found.repeated, 'messages'),
    none('journal lines that do not follow on', found.broken, 'lines'),
    none('gaps in the numbers of the journal', found.gaps, 'lines'),
  ];
}
