import mqtt from 'mqtt';
import { expect, onTestFinished, test } from 'vitest';
import { systemClock as clock } from '../../../collector/system-clock.ts';
import { asked } from '../../tools/asked.ts';
import { startInfluxd } from '../../tools/influxd.ts';
import { startFarm, temporaryFolder } from './farm.ts';

test('readings come to the InfluxDB that the farm file names, also those from while it was away', async () => {
  await using influxd = await startInfluxd();
  await influxd.tell('CREATE DATABASE shelfwarden');
  const {
    collector,
    live,
    sensor: access,
  } = await startFarm(
    temporaryFolder(),
    `broker: { embedded: { port: 0 } }\ninflux: { url: "${influxd.url}", database: shelfwarden }`,
  );
  const sensor = await mqtt.connectAsync(collector.brokerUrl, { protocolVersion: 4, ...(await access()) });
  onTestFinished(() => sensor.endAsync(true));
  const from = clock.now() - 60_000;
  const publish = (at: number, t: number) =>
    sensor.publishAsync('lab/air', JSON.stringify({ at, t }), { qos: 1 });
  const there = async (): Promise<[number, number][]> => {
    const query = new URLSearchParams({ db: 'shelfwarden', epoch: 'ms', q: 'SELECT value FROM reading' });
    const answer = await (await fetch(`${influxd.url}/query?${query}`)).json();
    return (
      (answer as { results: { series?: { values: [number, number][] }[] }[] }).results[0]?.series?.[0]
        ?.values ?? []
    );
  };

  await publish(from, 21.5);
  await publish(from + 1_000, 21.75);
  expect(await asked(there, (rows) => rows.length >= 2)).toEqual([
    [from, 21.5],
    [from + 1_000, 21.75],
  ]);

  await influxd.kill();
  await publish(from + 2_000, 22);
  const partsOf = async () => (await live()).parts.filter(({ part }) => part === 'influx');
  await asked(partsOf, ([part]) => part?.state === 'failed' || part?.state === 'waiting');
  await influxd.start();
  expect(await asked(there, (rows) => rows.length >= 3)).toContainEqual([from + 2_000, 22]);
  expect((await asked(partsOf, ([part]) => part?.state === 'ok'))[0]?.state).toBe('ok');
});
