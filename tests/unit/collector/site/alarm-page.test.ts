import { expect, test } from 'vitest';
import { bagsAtStake } from '../../../../collector/live/bags-at-stake.ts';
import { alarmDetail } from '../../../../shared/alarm-detail.ts';
import type { CohortForecast } from '../../../../shared/forecasts.ts';
import { hourMs } from '../../../../shared/time.ts';
import { smallFarm } from '../../../tools/alarm-site.ts';
import { wholeSite } from '../../../tools/whole-site.ts';

test('the page of an alarm holds its rule, curves with the worst first, journal, messages and what it holds back', async () => {
  const { site, clock, say } = await wholeSite(smallFarm());
  for (let step = 0; step < 40; step += 1) {
    clock.advanceBy(30_000);
    say('a1', (27 + step * 0.2).toFixed(1));
  }
  site.desk.actOnAlarm('high-high/warm-room.temperature', { act: 'acknowledge' }, 'Rowan');
  const page = alarmDetail.parse(site.desk.alarm('high-high/warm-room.temperature'));
  expect(page).toMatchObject({
    alarm: { state: 'acknowledged', shelf: null, room: 'warm-room' },
    name: 'Warm room far too warm: limit 32 °C',
    unit: ' °C',
    rule: { limit: 32, wrong: 'above', onDelayS: 60, latching: false, reAlarmMin: 60, shelveCapMin: 480 },
    curve: { channels: ['a1.temperature', 'warm-air.temperature'], to: clock.now() },
    deliveries: [{ recipient: 'rowan', channel: 'email' }],
  });
  expect(page.rule.deadband).toBeGreaterThan(0);
  expect(page.curve!.from).toBeLessThanOrEqual(page.alarm.raisedAt! - 3 * hourMs);
  expect(page.journal.map(({ event, who }) => [event, who])).toEqual([
    ['acknowledged', 'Rowan'],
    ['raised', 'Shelfwarden'],
  ]);
  expect(() => site.desk.alarm('high/moon.temperature')).toThrow(/no alarm 'high\/moon/);
});

test('bags at stake are those of the room, or of the shelf, the warmest first', () => {
  const farm = smallFarm();
  const cohort = (name: string, shelf: string | null, coreTempC: number) =>
    ({ cohort: name, batch: name, bags: [1], shelf, coreTempC, heat: {} }) as unknown as CohortForecast;
  const all = [cohort('x', 'A1', 26), cohort('y', 'A2', 30), cohort('z', 'A1', 27), cohort('n', null, 40)];
  const names = (room: string | null, shelf: string | null) =>
    bagsAtStake({ room, shelf }, farm, all).map((one) => one.cohort);
  expect(names('warm-room', null)).toEqual(['y', 'z', 'x']);
  expect(names('warm-room', 'A1')).toEqual(['z', 'x']);
  expect(names('cold-room', null)).toEqual([]);
  expect(names(null, null)).toEqual([]);
});
