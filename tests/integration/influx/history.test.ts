import { afterAll, beforeAll } from 'vitest';
import { connectInflux } from '../../../collector/influx/connection.ts';
import { createInfluxHistory } from '../../../collector/influx/history.ts';
import { lineOf } from '../../../collector/influx/line.ts';
import { historySuite } from '../../tools/history-suite.ts';
import { type Influxd, startInfluxd } from '../../tools/influxd.ts';

let influxd: Influxd;
beforeAll(async () => {
  influxd = await startInfluxd();
});
afterAll(() => influxd[Symbol.asyncDispose]());

let opened = 0;
historySuite('InfluxDB 1.x', async () => {
  const database = `farm_${++opened}`;
  await influxd.tell(`CREATE DATABASE ${database}`);
  const connection = connectInflux({ url: influxd.url, database }, undefined);
  return {
    history: createInfluxHistory(connection, 'test-site'),
    async store(readings) {
      // The store keeps the first to come and InfluxDB the last; the suite tells the same value twice.
      for (let start = 0; start < readings.length; start += 5_000) {
        const lines = readings.slice(start, start + 5_000).map((reading) => lineOf('test-site', reading));
        const outcome = await connection.write(lines);
        if (outcome.kind !== 'taken') throw new Error(JSON.stringify(outcome));
      }
    },
  };
});
