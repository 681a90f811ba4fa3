import { expect, it, onTestFinished } from 'vitest';
import { createBagBook } from '../../../../collector/bags/bag-book.ts';
import { migrations } from '../../../../collector/main.ts';
import { createFitBook } from '../../../../collector/rooms/fit-book.ts';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../../collector/store/readings-log.ts';
import { systemClock } from '../../../../collector/system-clock.ts';
import type { BagEvent } from '../../../../shared/bags.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { farmFile } from '../../../../shared/farm/schema.ts';
import { builtInSpecies } from '../../../../shared/growth/species.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { meanRoom } from '../../../../shared/room/room-fit.ts';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';
import { until } from '../../../tools/until.ts';
import { wholeSite } from '../../../tools/whole-site.ts';

const from = Date.UTC(2025, 2, 3);
const now = from + 8 * dayMs;
const plain = [{ quantity: 'temperature' as const, unit: 'degC' }];
const farm = buildFarm(
  farmFile.parse({
    site: { id: 'north', name: 'North', timeZone: 'UTC' },
    rooms: [
      {
        ...{ id: 'lab', name: 'Lab', floorAreaM2: 16, coolingW: 2_400 },
        racks: [{ id: 'L', shelves: [{ id: 'L1' }] }],
      },
      { id: 'store', name: 'Store', racks: [{ id: 'S', shelves: [{ id: 'S1' }] }] },
    ],
    sensors: [
      { id: 'air', topic: 'air', decoder: 'plain', at: 'lab', channels: plain },
      { id: 'out', topic: 'out', decoder: 'plain', at: 'outside', channels: plain },
    ],
    containers: [
      {
        ...{ id: 'sack', name: 'Sack', kind: 'bag', massKg: 12, volumeL: 22, moisture: 0.6 },
        shape: { form: 'brick', widthM: 0.3, depthM: 0.25, heightM: 0.3 },
      },
    ],
    strains: [{ id: 'oyster-one', name: 'Oyster one', species: 'oyster' }],
  }),
  builtInSpecies,
);
const common = { who: 'Ida', batch: 'B1' };
const made: BagEvent[] = [
  {
    ...{
      ...common,
      kind: 'made',
      id: 'made-0001',
      t: from + 2 * dayMs,
      strain: 'oyster-one',
      container: 'sack',
    },
    ...{ count: 120, generation: 'block', inoculation: { way: 'grain-to-grain', partsPerSpawn: 20 } },
  },
  { ...common, kind: 'placed', id: 'placed-0001', t: from + 2 * dayMs, shelf: 'L1' },
];

/** A site whose lab was measured for eight days, six of them with 1.4 t of sacks in it. */
async function site(before?: (database: ReturnType<typeof openDatabase>) => void) {
  const clock = createManualClock(now);
  const database = openDatabase({ file: ':memory:', migrations, clock });
  onTestFinished(() => void database.close());
  const log = createReadingsLog(database);
  const say = (channel: string, valueAt: (hour: number) => number) =>
    log.append(
      Array.from({ length: (now - from) / (10 * minuteMs) }, (_, k) => {
        const t = from + k * 10 * minuteMs;
        const value = valueAt(k / 6);
        return { channel, t, value, raw: value, quality: 'good', retained: false, receivedAt: t };
      }),
    );
  const day = (hour: number) => Math.cos(((hour - 15) / 12) * Math.PI);
  say('air.temperature', (hour) => 23 + 0.5 * day(hour) + 0.1 * Math.sin(hour / 3));
  say('out.temperature', (hour) => 12 + 6 * day(hour));
  const book = createBagBook({ database, farm: () => farm, clock });
  for (const event of made) book.recordPast(event);
  before?.(database);
  const whole = await wholeSite(farm, {
    ...{ clock, database, tickMs: minuteMs, forecasts: { inThread: false } },
  });
  const { desk } = whole.site;
  const words = () => desk.unloads.room('lab').words.join(' ');
  const plan = () =>
    desk.unloads.plan({
      ...{ room: 'lab', at: null, options: { fan: false, extraCoolingW: 0 } },
      load: { container: 'sack', count: 10, startC: 90 },
    });
  return { ...whole, desk, words, plan };
}
const given = (words: string): number => Number(/Bags give about ([\d,]+) W now/.exec(words)?.[1] ?? 0);

it('a room is learned apart from its bags, and its page and plans go by those that stand there now', async () => {
  const { database, clock, desk, words, plan } = await site();
  await until(systemClock, () => desk.unloads.room('lab').learnedAt !== null);
  const fit = createFitBook(database).newest('lab')!.fit;
  const nowW = given(words());
  // 1.4 t of substrate that grows through: a few hundred watts at the most.
  expect(nowW).toBeGreaterThan(50);
  expect(nowW).toBeLessThan(600);
  // Said to two figures.
  expect(Math.abs(fit.bags!.endW / nowW - 1)).toBeLessThan(0.06);
  const full = await plan();
  expect(given(full.assumed.join(' '))).toBe(nowW);

  desk.record({ ...common, kind: 'moved', id: 'moved-0001', t: clock.now(), shelf: 'S1' });
  await clock.advanceBy(minuteMs);
  await until(systemClock, () => given(words()) === 0);
  const emptied = await plan();
  expect(given(emptied.assumed.join(' '))).toBe(0);
  expect(emptied.peak.tempC.likely).toBeLessThan(full.peak.tempC.likely);
});

it('readings of days ago that come late change what bags give at the next look, without a restart', async () => {
  const old = { ...defaultRoom(16, 2_400, { setC: 23 }), trainedDays: 8, bags: { factor: 1, endW: 0 } };
  const made = await site((database) => createFitBook(database).keep('lab', now - hourMs, old));
  await until(systemClock, () => given(made.words()) > 50);
  const before = given(made.words());
  // What waited while the broker was away: for three days the lab was too cold to grow in.
  const times = Array.from({ length: 3 * 24 * 20 }, (_, k) => from + 3 * dayMs + (k * 3 + 1) * minuteMs);
  made.site.takeIn(times.map((t) => ({ topic: 'air', payload: '4', t })));
  await made.clock.advanceBy(hourMs);
  await until(systemClock, () => Math.abs(given(made.words()) / before - 1) > 0.1);
});

it('a fit of before has bags among its gains until the next night, and says so', async () => {
  const old = { ...defaultRoom(16, 2_400, { setC: 23 }), trainedDays: 8, notes: [] };
  const { desk, words, plan } = await site((database) =>
    createFitBook(database).keep('lab', now - hourMs, JSON.parse(JSON.stringify(old)) as typeof old),
  );
  expect(desk.unloads.room('lab').learnedAt).toBe(now - hourMs);
  await until(systemClock, () => /the heat of bags among them/.test(words()));
  expect(words()).toContain(`${Math.round(meanRoom(old).gainW)} W, `);
  expect(given(words())).toBe(0);
  const { assumed } = await plan();
  expect(assumed.join(' ')).toContain('The heat of bags is as it was while this room was learned');
  expect(given(assumed.join(' '))).toBe(0);
});
