import { expect, test } from 'vitest';
import { createDerivedHistory } from '../../../../collector/store/derived-history.ts';
import { dewPointC } from '../../../../shared/air/psychrometrics.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { farmFile } from '../../../../shared/farm/schema.ts';
import type { ReadingsHistory } from '../../../../shared/readings.ts';

const farm = buildFarm(
  farmFile.parse({
    site: { id: 'f', name: 'F', timeZone: 'UTC' },
    rooms: [{ id: 'warm', name: 'Warm' }],
    sensors: [
      {
        id: 'air',
        topic: 'air',
        decoder: 'json',
        at: 'warm',
        channels: [
          { quantity: 'temperature', unit: 'degC', pointer: '/t' },
          { quantity: 'humidity', unit: '%', pointer: '/h' },
        ],
      },
    ],
  }),
  [],
);

/** Temperature each second in buckets of a minute when asked for few points; humidity raw, once a minute. */
const history: ReadingsHistory = {
  channels: async () => [],
  async series({ channel, from, to, maxPoints }) {
    const everyMs = channel === 'air.temperature' ? 1_000 : 60_000;
    const raw = (to - from) / everyMs <= maxPoints;
    const step = raw ? everyMs : 60_000;
    const value = channel === 'air.temperature' ? 22 : 80;
    const points = Array.from({ length: Math.ceil((to - from) / step) }, (_, index) => {
      return {
        t: from + index * step,
        count: 1,
        min: value,
        max: value,
        mean: value,
        last: value,
        marked: 0,
      };
    });
    return { channel, bucketMs: raw ? 0 : 60_000, points };
  },
};

test('a derived series comes from both histories, any other as it is', async () => {
  const series = createDerivedHistory(history, () => farm);
  const question = { from: 0, to: 600_000, maxPoints: 100 };
  const dew = await series({ ...question, channel: 'air.dew-point' });
  expect(dew).toMatchObject({ channel: 'air.dew-point', bucketMs: 60_000 });
  expect(dew.points).toHaveLength(10);
  expect(dew.points[3]!.mean).toBe(dewPointC(22, 80));
  expect((await series({ ...question, channel: 'air.humidity' })).points[0]!.mean).toBe(80);
});
