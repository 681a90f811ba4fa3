import mqtt from 'mqtt';
import { expect, onTestFinished, test } from 'vitest';
import { createAnnouncer } from '../../../alerts/delivery/announcer.ts';
import { createEmbeddedBroker } from '../../../collector/intake/embedded-broker.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import { alarmSite } from '../../tools/alarm-site.ts';
import { until } from '../../tools/until.ts';

const warm = 'warm-air.temperature';
const topic = 'shelfwarden/fernhollow/alarms/high/warm-room.temperature';
const beacon = 'shelfwarden/fernhollow/beacon';

async function openBroker() {
  const broker = createEmbeddedBroker({ clock: systemClock, log: () => {}, port: 0 });
  await broker.start(() => {});
  onTestFinished(() => broker.stop());
  return broker;
}
const announcerOf = (
  site: ReturnType<typeof alarmSite>,
  transport: Awaited<ReturnType<typeof openBroker>>,
) => {
  const { database, farm } = site;
  const announcer = createAnnouncer({
    database,
    clock: systemClock,
    farm,
    transport,
    views: () => site.book.views(),
  });
  onTestFinished(() => announcer.stop());
  return announcer;
};
/** What a client that comes now is told: the retained states. */
async function retained(broker: Awaited<ReturnType<typeof openBroker>>) {
  const { host, port } = broker.address();
  const seen = new Map<string, string>();
  const client = await mqtt.connectAsync(`mqtt://${host}:${port}`, { protocolVersion: 4 });
  client.on('message', (name, payload) => seen.set(name, payload.toString()));
  onTestFinished(() => void client.end(true));
  await client.subscribeAsync('shelfwarden/#');
  return seen;
}

test('each alarm has a retained state, and the beacon the most urgent that nobody took', async () => {
  const site = alarmSite();
  const broker = await openBroker();
  const announcer = announcerOf(site, broker);
  site.hold({ [warm]: 29.5 }, 120);
  announcer.start();
  const seen = await retained(broker);
  await until(systemClock, () => seen.get(beacon) === 'medium' && seen.has(topic));
  expect(JSON.parse(seen.get(topic)!)).toMatchObject({ state: 'unacknowledged', ringing: true, limit: 28 });

  site.book.act('high/warm-room.temperature', { act: 'acknowledge' }, 'Rowan');
  announcer.changed();
  const stateNow = () => JSON.parse(seen.get(topic)!) as { state: string; ringing: boolean };
  await until(systemClock, () => seen.get(beacon) === 'off' && stateNow().state === 'acknowledged');
  expect(stateNow().ringing).toBe(false);

  site.hold({}, 300);
  announcer.changed();
  await until(systemClock, () => seen.get(topic) === '');
});

test('states that ended while nobody could say so are cleared at the next start, and on a new broker', async () => {
  const site = alarmSite();
  const first = await openBroker();
  const before = announcerOf(site, first);
  site.hold({ [warm]: 29.5 }, 120);
  before.start();
  const seen = await retained(first);
  await until(systemClock, () => seen.has(topic) && seen.has(beacon));
  await before.stop();
  // The alarm ends and is acknowledged while nothing is announced; a broker that kept the state goes on saying it.
  site.hold({}, 300);
  site.book.act('high/warm-room.temperature', { act: 'acknowledge' }, 'Rowan');
  announcerOf(site, first).start();
  await until(systemClock, () => seen.get(topic) === '' && seen.get(beacon) === 'off');

  const second = await openBroker();
  announcerOf(site, second).start();
  const anew = await retained(second);
  await until(systemClock, () => anew.get(beacon) === 'off');
  expect([...anew.keys()]).toEqual([beacon]);
});
