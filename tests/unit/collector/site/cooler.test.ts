import { expect, test } from 'vitest';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import { smallFarm } from '../../../tools/alarm-site.ts';
import { wholeSite } from '../../../tools/whole-site.ts';

test('a site that hears of a cooler tells the part of the time for which it ran, and whether it runs', async () => {
  const farm = smallFarm({
    sensors: [
      {
        ...{ id: 'contact', topic: 'contact', decoder: 'plain', at: 'warm-room', everyS: 300 },
        channels: [{ quantity: 'cooler-on', unit: 'state' }],
      },
    ],
  });
  const { site, clock, say } = await wholeSite(farm);
  const from = clock.now();
  // A quarter of each hour: it speaks as it switches, and each five minutes.
  for (let minute = 0; minute < 120; minute += 1) {
    const isOn = minute % 60 < 15;
    if (minute % 5 === 0) say('contact', isOn ? 'ON' : 'OFF');
    clock.advanceBy(minuteMs);
  }
  const channel = 'contact.cooler-on';
  const { points, bucketMs } = await site.desk.series({ channel, from, to: from + 2 * hourMs, maxPoints: 2 });
  expect(bucketMs).toBe(hourMs);
  expect(points.map(({ mean }) => mean)).toEqual([expect.closeTo(25, 9), expect.closeTo(25, 9)]);
  const live = site.desk.live();
  expect(live.channels[channel]).toMatchObject({ value: 0, trendPerH: null, quality: 'good', silent: false });
  expect(live.farm.channels).toMatchObject([
    { id: channel, quantity: 'cooler-on', unit: '%', room: 'warm-room' },
  ]);
  expect(live.alarms).toEqual([]);
});
