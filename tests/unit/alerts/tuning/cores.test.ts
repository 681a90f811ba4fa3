import { expect, test } from 'vitest';
import { createCoreLog } from '../../../../alerts/core-log.ts';
import { createTuningDesk } from '../../../../alerts/tuning/tuning-desk.ts';
import type { LimitBand } from '../../../../shared/farm/limits-schema.ts';
import type { CohortForecast } from '../../../../shared/forecasts.ts';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';
import { alarmDatabase, alarmSite, smallFarm } from '../../../tools/alarm-site.ts';
import { recordedOf } from '../../../tools/recorded.ts';

const farmWith = (core: LimitBand) =>
  smallFarm({
    sensors: [],
    rooms: [
      {
        ...{ id: 'warm-room', name: 'Warm room', limits: { core } },
        racks: [{ id: 'A', shelves: [{ id: 'A1' }, { id: 'A2' }] }],
      },
    ],
  });

const cohort = (shelf: string, coreTempC: number, asOf: number): CohortForecast => ({
  ...{ cohort: 'OY-1/1', batch: 'OY-1', bags: [1, 2, 3], shelf, asOf, coreTempC },
  share: { low: 0.2, likely: 0.3, high: 0.4 },
  ...{ thermalDays: 5, degreeDays: 90 },
  heat: { equivalentHours: 0, hoursAboveWarm: 0, recentHours: 0, perHour: 0 },
  shake: { state: 'never', opens: null, best: null, closes: null, gainDays: null },
  ready: { state: 'growing', at: null, seen: false },
  useBy: { at: null, state: 'good' },
  ...{ air: 'measured', marks: [], assumed: [], notes: [] },
});

/** Cores that rise from 28 °C to 33 °C and fall again within four hours, and bags that then leave. */
function warmAfternoon() {
  const site = alarmSite(farmWith({ high: 32 }));
  const from = site.clock.now();
  for (let minute = 0; minute < 300; minute += 1) {
    const coreC = 28 + 5 * Math.max(0, Math.sin((Math.PI * minute) / 240));
    site.forecasts.bags = minute < 280 ? [cohort('A1', coreC, site.clock.now())] : [];
    site.run(60);
  }
  const desk = (changed: LimitBand) =>
    createTuningDesk({
      book: site.book,
      farm: () => site.farm,
      edits: { tried: () => farmWith(changed), save: async () => {} },
      recorded: recordedOf({}),
      pause: async () => {},
    });
  return { site, from, to: site.clock.now() + 1, desk };
}
const question = { at: 'warm-room', measure: 'core', set: {} } as const;

test('limits on cores are tried on what alarms were told of them', async () => {
  const { site, from, to, desk } = warmAfternoon();
  const live = site.book
    .journal({ alarm: 'high/warm-room.core', limit: 10 })
    .findLast(({ event }) => event === 'raised')!;
  const { now, changed, pairs, channel } = await desk({ high: 31 }).backTest({ ...question, from, to });
  expect(now.episodes).toHaveLength(1);
  // Kept to a tenth of a kelvin and five minutes.
  expect(Math.abs(now.episodes[0]!.raisedAt - live.t)).toBeLessThanOrEqual(5 * minuteMs);
  expect(changed.episodes).toHaveLength(1);
  const lead = (now.episodes[0]!.raisedAt - changed.episodes[0]!.raisedAt) / minuteMs;
  // From 31 to 32 °C on that curve: asin(0.8) - asin(0.6) of a half period of 240 min.
  expect(Math.abs(lead - ((Math.asin(0.8) - Math.asin(0.6)) * 240) / Math.PI)).toBeLessThan(8);
  expect(pairs).toHaveLength(1);
  expect(channel).toBeNull();
});

test('bags that left end the alarm that would have been', async () => {
  const { from, to, desk } = warmAfternoon();
  const { changed } = await desk({ high: 27 }).backTest({ ...question, from, to });
  expect(changed.episodes).toHaveLength(1);
  const { clearedAt } = changed.episodes[0]!;
  expect(Math.abs(clearedAt! - (from + 280 * minuteMs))).toBeLessThan(10 * minuteMs);
});

test('of shelves that stand empty nothing is kept after an hour', () => {
  const { site } = warmAfternoon();
  const kept = () => site.database.prepare('SELECT count(*) FROM core_kept').pluck().get() as number;
  site.run(60 * 60);
  const before = kept();
  site.run(30 * 60);
  expect(kept()).toBe(before);
  const signals = site.database.prepare('SELECT signal FROM core_signal ORDER BY 1').pluck().all();
  expect(signals).toEqual(['core>coldest on A1', 'core>warmest on A1']);
});

test('what was kept is kept for 90 days, also of a shelf that has gone since', () => {
  const { note, recorded } = createCoreLog(alarmDatabase().database);
  const t = Date.UTC(2026, 0, 1);
  const gone = 'core>warmest on Z9';
  const stays = 'core>warmest on A1';
  for (const signal of [gone, stays]) for (const day of [0, 1]) note(signal, t + day * dayMs, 28 + day);
  note(stays, t + 90 * dayMs + 1, 30);
  expect([gone, stays].map((signal) => recorded.keptFrom(signal))).toEqual([t + dayMs, t + dayMs]);
});

test('before any core was told of, the answer says from when they are kept', async () => {
  const site = alarmSite(farmWith({ high: 32 }));
  const edits = { tried: () => farmWith({ high: 31 }), save: async () => {} };
  const rest = { recorded: recordedOf({}), pause: async () => {} };
  const desk = createTuningDesk({ book: site.book, farm: () => site.farm, edits, ...rest });
  const to = site.clock.now();
  await expect(desk.backTest({ ...question, from: to - hourMs, to })).rejects.toThrow(
    /kept from the first forecast on/,
  );
});
