import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { systemClock as clock } from '../../collector/system-clock.ts';
import type { Figure } from '../bench/figure.ts';
import { watchAcks } from '../tools/ack-watch.ts';
import buildOnce from '../tools/built.ts';
import { collectorInTurns } from '../tools/collector.ts';
import { startMosquitto } from '../tools/mosquitto.ts';
import { openFolder } from '../tools/open-folder.ts';
import { startTcpProxy } from '../tools/tcp-proxy.ts';
import { until } from '../tools/until.ts';
import { audit, look, missing, type Seen } from './kill-audit.ts';
import { startMailSink } from './mail-sink.ts';
import { deadbandC, edgeCount, limitC, sensorCount, startReadingStream, topicOf } from './reading-stream.ts';

const seed = 20_260_301;
/** The kill comes this long after the first acknowledgement of a round, at random, ms. */
const longestLifeMs = 400;

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

const publishedBy = (sent: readonly (readonly unknown[])[]): number =>
  sent.reduce((sum, own) => sum + own.length, 0);

export interface KillPlan {
  rounds: number;
  /** Readings published a second. */
  perSecond: number;
  /** After the first kill, wait until about so many readings wait at the broker. */
  backlog: number;
}

/** Kills the collector again and again while readings stream, and counts what was lost. */
export async function killAgainAndAgain({ rounds, perSecond, backlog }: KillPlan) {
  buildOnce();
  const random = xoroshiro128plus(seed);
  await using broker = await startMosquitto(['allow_anonymous true', 'max_queued_messages 0']);
  const mail = await startMailSink();
  using folder = openFolder('kill');
  const dataFolder = join(folder.path, 'data');
  const farmFile = join(folder.path, 'farm.yaml');
  const counts = { acknowledged: 0, redelivered: 0, lostAfterAck: 0, midStream: 0, inFlight: 0, mostOpen: 0 };
  let subscribed = false;
  let acknowledged: Seen[] = [];
  const everAcknowledged = new Set<string>();
  const proxy = await startTcpProxy(broker.port, () =>
    watchAcks({
      onSubscribed() {
        subscribed = true;
      },
      onDelivered(redelivered, open) {
        counts.mostOpen = Math.max(counts.mostOpen, open);
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
  await using turns = collectorInTurns(['run', '--farm', farmFile, '--data', dataFolder, '--port', '0']);
  const first = await turns.start();
  await until(clock, () => subscribed);
  const stream = await startReadingStream({ url: broker.url, clock, perSecond });
  await until(clock, () => acknowledged.length > 0);

  let child = first;
  for (let round = 0; round < rounds; round++) {
    if (round > 0) child = await turns.start();
    await until(clock, () => acknowledged.length > 0);
    const lifeMs = uniformInt(random, 0, longestLifeMs);
    await new Promise<void>((resolve) => clock.after(lifeMs, resolve));
    await child.end('SIGKILL');
    await until(clock, () => proxy.open() === 0);
    if (counts.inFlight > 0) counts.midStream++;
    counts.inFlight = 0;
    checkAcknowledged();
    if (round === 0) await until(clock, () => publishedBy(stream.sent) >= backlog);
  }

  await stream.stop();
  child = await turns.start();
  const mailsWaiting = () =>
    look(dataFolder, (database) =>
      database.prepare<[], number>("SELECT count(*) FROM alarm_outbox WHERE state = 'waiting'").pluck().get(),
    );
  const published = publishedBy(stream.sent);
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
  const { code: exitCode } = await child.end();
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

/** The figures of such a run, with what must be so. */
export function figuresOf(result: Awaited<ReturnType<typeof killAgainAndAgain>>): Figure[] {
  const { rounds, published, unacknowledged, counts, found, mailed, exitCode } = result;
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
    told('most unacknowledged at once', counts.mostOpen, 'messages'),
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

export const run = async (): Promise<Figure[]> =>
  figuresOf(await killAgainAndAgain({ rounds: 100, perSecond: 200, backlog: 0 }));
