import { expect, test } from 'vitest';
import { heatOnPeople } from '../../../../../dashboard/web/unload/heat-on-people.ts';
import { wbgtIndoorsC } from '../../../../../shared/air/heat-stress.ts';
import { fixtureNow, liveAt } from '../../../../browser/fixture/live.ts';

const live = liveAt(fixtureNow, 'warm');
const values = { t: fixtureNow, quality: 'good', trendPerH: 0, silent: false } as const;
const withAir = (tempC: number, humidity: number, silent = false) => ({
  ...live,
  channels: {
    ...live.channels,
    'warm-air.temperature': { ...values, value: tempC },
    'warm-air.humidity': { ...values, value: humidity, silent },
  },
});

test('heat on people is told of rooms whose humidity is known now, and of no other', () => {
  const [warm] = heatOnPeople(withAir(34, 70), ['warm']);
  expect(warm).toEqual({ room: 'Warm room', wbgtC: wbgtIndoorsC(34, 70) });
  expect(heatOnPeople(withAir(34, 70)).length).toBeGreaterThan(heatOnPeople(withAir(34, 70, true)).length);
  expect(heatOnPeople(withAir(34, 70, true), ['warm'])).toEqual([]);
  expect(heatOnPeople(withAir(-4, 70), ['warm'])).toEqual([]);
  expect(heatOnPeople(live, [])).toEqual([]);
});
