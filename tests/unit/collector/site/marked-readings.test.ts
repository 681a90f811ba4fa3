import { expect, test } from 'vitest';
import { createStoreHistory } from '../../../../collector/store/history.ts';
import { smallFarm } from '../../../tools/alarm-site.ts';
import { wholeSite } from '../../../tools/whole-site.ts';

test('what a stuck sensor says is marked in the live state, in charts and for forecasts, until it moves', async () => {
  const { site, clock, database, say, alarm } = await wholeSite(smallFarm());
  const from = clock.now();
  for (let step = 0; step < 120; step += 1) {
    clock.advanceBy(30_000);
    say('a1', '24');
    say('a2', (23 + step / 40).toFixed(2));
    say('warm/air', `{"t":${24 + (step % 2) / 10},"h":60}`);
  }
  expect(alarm('stuck/a1.temperature')).toMatchObject({ state: 'unacknowledged', priority: 3 });
  const { channels } = site.desk.live();
  expect(channels['a1.temperature']).toMatchObject({ value: 24, quality: 'suspect' });
  expect(channels['a2.temperature']).toMatchObject({ quality: 'good' });

  const span = { from, to: clock.now() + 1 };
  const { points } = await site.desk.series({ channel: 'a1.temperature', ...span, maxPoints: 1000 });
  const marked = points.reduce((sum, point) => sum + point.marked, 0);
  expect(points).toHaveLength(120);
  expect(marked).toBeGreaterThan(20);
  // Minutes that forecasts may use end where the marks begin.
  const { t } = createStoreHistory(database).readMinutes('a1.temperature', from, span.to);
  expect(t.at(-1)).toBeLessThan(points.find((point) => point.marked > 0)!.t);

  clock.advanceBy(30_000);
  say('a1', '24.3');
  clock.advanceBy(30_000);
  say('a1', '24.2');
  expect(alarm('stuck/a1.temperature')).toMatchObject({ state: 'returned-unacknowledged' });
  expect(site.desk.live().channels['a1.temperature']).toMatchObject({ quality: 'good' });
});

test('a part that cannot measure rings after three answers, and stores none of them', async () => {
  const { site, clock, say, alarm } = await wholeSite(smallFarm());
  const from = clock.now();
  for (let step = 0; step < 3; step += 1) {
    clock.advanceBy(30_000);
    say('a1', '85');
  }
  expect(alarm('unusable/a1.temperature')).toMatchObject({ state: 'unacknowledged', priority: 2 });
  const question = { channel: 'a1.temperature', from, to: clock.now() + 1, maxPoints: 1000 };
  expect((await site.desk.series(question)).points).toEqual([]);
});
