import { expect, test } from 'vitest';
import type { FarmFileInput } from '../../../shared/farm/schema.ts';
import type { CohortForecast } from '../../../shared/forecasts.ts';
import { alarmSite, smallFarm } from '../../tools/alarm-site.ts';

const farm = (core?: object): ReturnType<typeof smallFarm> => {
  const rack = { id: 'A', shelves: [{ id: 'A1' }, { id: 'A2' }] };
  const room = {
    id: 'warm-room',
    name: 'Warm room',
    limits: core === undefined ? {} : { core },
    racks: [rack],
  };
  return smallFarm({
    sensors: [],
    rooms: [room as FarmFileInput['rooms'][number], { id: 'cold-room', name: 'Cold room' }],
  });
};

type Site = ReturnType<typeof alarmSite>;
type Heat = CohortForecast['heat'];

/** One cohort as the forecaster would have it now. */
function cohort(
  site: Site,
  batch: string,
  shelf: string,
  { core = 25, air = 'measured', ...heat }: Partial<Heat> & { core?: number; air?: CohortForecast['air'] },
): CohortForecast {
  return {
    cohort: `${batch}/1`,
    batch,
    bags: [1, 2, 3, 7],
    shelf,
    asOf: site.clock.now(),
    share: { low: 0.2, likely: 0.3, high: 0.4 },
    coreTempC: core,
    thermalDays: 5,
    degreeDays: 90,
    heat: { equivalentHours: 0, hoursAboveWarm: 0, recentHours: 0, perHour: 0, ...heat },
    shake: { state: 'never', opens: null, best: null, closes: null, gainDays: null },
    ready: { state: 'growing', at: null, seen: false },
    useBy: { at: null, state: 'good' },
    air,
    marks: [],
    assumed: [],
    notes: [],
  };
}

test('a limit on core temperature rings for the warmest bags of a room and names them', () => {
  const site = alarmSite(farm({ high: 32 }));
  site.forecasts.bags = [
    cohort(site, 'OY-1', 'A1', { core: 33 }),
    cohort(site, 'OY-2', 'A2', { core: 34.04 }),
  ];
  site.run(60);
  // It must last for its on-delay, as any limit.
  expect(site.state('high/warm-room.core')).toBe('normal');
  expect(site.book.detail('high/warm-room.core')).toMatchObject({ curve: null, computed: { of: 'core' } });
  expect(site.book.detail('heat/warm-room')).toMatchObject({ curve: null, computed: { of: 'heat' } });
  site.run(61);
  const alarm = site.book.view('high/warm-room.core');
  expect(alarm).toMatchObject({ state: 'unacknowledged', value: 34.04, limit: 32, channel: null });
  expect(alarm.title).toBe('Warm room, shelf A2 bag cores too warm: 34.0 °C, limit 32 (OY-2, bags 1–3, 7)');
  site.forecasts.bags = [
    cohort(site, 'OY-1', 'A1', { core: 31 }),
    cohort(site, 'OY-2', 'A2', { core: 30.5 }),
  ];
  site.run(150);
  expect(site.book.view('high/warm-room.core')).toMatchObject({
    state: 'returned-unacknowledged',
    title: 'Warm room back in limits: 31.0 °C, limit 32, reached 34.0',
  });
});

test('a limit on cores is over when the bags have left, and has then no value', () => {
  const site = alarmSite(farm({ high: 32, low: 15 }));
  site.forecasts.bags = [cohort(site, 'OY-1', 'A1', { core: 33 })];
  site.run(150);
  expect(site.state('high/warm-room.core')).toBe('unacknowledged');
  site.forecasts.bags = [];
  site.run(150);
  expect(site.book.view('high/warm-room.core')).toMatchObject({
    state: 'returned-unacknowledged',
    value: null,
  });
  expect(site.book.view('high/warm-room.core').title).toBe('Warm room: the bags have left, reached 33.0');
  expect(site.state('low/warm-room.core')).toBe('normal');
});

test('a shelf with a limit of its own on cores has an alarm of its own', () => {
  const own = smallFarm({
    sensors: [],
    rooms: [
      {
        id: 'warm-room',
        name: 'Warm room',
        limits: { core: { low: 10, high: 34 } },
        racks: [{ id: 'A', shelves: [{ id: 'A1' }, { id: 'A2', limits: { core: { high: 29 } } }] }],
      },
    ],
  });
  const site = alarmSite(own);
  site.forecasts.bags = [cohort(site, 'LM-1', 'A2', { core: 30 }), cohort(site, 'OY-1', 'A1', { core: 8 })];
  site.run(150);
  expect(site.book.views().map(({ title }) => title)).toEqual([
    'Shelf A2 bag cores too warm: 30.0 °C, limit 29 (LM-1, bags 1–3, 7)',
    'Warm room, shelf A1 bag cores too cold: 8.0 °C, limit 10 (OY-1, bags 1–3, 7)',
  ]);
});

test('bags that gather heat ring at a quarter of what they stand, named with where they stand', () => {
  const site = alarmSite(farm());
  site.forecasts.bags = [cohort(site, 'OY-1', 'A1', { recentHours: 0.99, perHour: 0.5 })];
  site.run(70);
  expect(site.state('heat/warm-room')).toBe('normal');
  site.forecasts.bags = [
    cohort(site, 'OY-1', 'A1', { recentHours: 1.2, perHour: 0.5 }),
    cohort(site, 'OY-2', 'A2', { recentHours: 2, perHour: 0.5 }),
    // Had as much, but stands cool now: nothing is to be done about its heat.
    cohort(site, 'OY-3', 'A2', { recentHours: 3.9, perHour: 0 }),
  ];
  site.run(60);
  const { title, state, value } = site.book.view('heat/warm-room');
  expect({ state, value }).toEqual({ state: 'unacknowledged', value: 50 });
  expect(title).toBe(
    'Warm room: bags gather heat: OY-2, bags 1–3, 7 on A2; OY-1, bags 1–3, 7 on A1: 50 % of what they stand, the rest in about 4 h',
  );
  site.forecasts.bags = [cohort(site, 'OY-2', 'A2', { recentHours: 1.9, perHour: 0 })];
  site.run(29 * 60);
  expect(site.state('heat/warm-room')).toBe('unacknowledged');
  site.run(3 * 60);
  expect(site.book.view('heat/warm-room')).toMatchObject({
    state: 'returned-unacknowledged',
    title: 'Warm room: bags no longer gather heat, reached 50 % of what they stand',
  });
});

test('when they have had all that they stand, one urgent alarm stands for both', () => {
  const site = alarmSite(farm());
  site.forecasts.bags = [cohort(site, 'OY-2', 'A2', { recentHours: 4.1, perHour: 0.5 })];
  site.run(70);
  expect(site.book.view('heat-full/warm-room')).toMatchObject({ state: 'unacknowledged', priority: 1 });
  expect(site.state('heat/warm-room')).toBe('suppressed');
  expect(site.outbox().map(({ alarm }) => alarm)).toEqual(['heat-full/warm-room']);
});

test('while nobody knows the forecasts, or the air of the bags, nothing begins and nothing ends', () => {
  const site = alarmSite(farm({ high: 32 }));
  const hot = () => [cohort(site, 'OY-1', 'A1', { core: 33, recentHours: 2, perHour: 0.5 })];
  site.forecasts.bags = hot().map((one) => ({ ...one, air: 'filled' }));
  site.run(200);
  expect(site.book.views()).toEqual([]);
  site.forecasts.bags = hot();
  site.run(200);
  expect(
    site.book
      .views()
      .map(({ id }) => id)
      .sort(),
  ).toEqual(['heat/warm-room', 'high/warm-room.core']);
  site.forecasts.bags = null;
  site.restart();
  site.run(3600);
  expect(site.book.views().every(({ conditionHolds }) => conditionHolds)).toBe(true);
  // The thread is away, and what it said last is hours old.
  site.restart();
  site.forecasts.bags = hot().map((one) => ({ ...one, asOf: one.asOf - 3 * 3_600_000, coreTempC: 20 }));
  site.run(200);
  expect(site.state('high/warm-room.core')).toBe('unacknowledged');
});
