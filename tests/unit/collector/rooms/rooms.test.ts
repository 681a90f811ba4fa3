import { expect, it, onTestFinished } from 'vitest';
import { migrations } from '../../../../collector/main.ts';
import { assumedRoom } from '../../../../collector/rooms/assumed.ts';
import { createFitThread } from '../../../../collector/rooms/fit-apart.ts';
import { createFitBook } from '../../../../collector/rooms/fit-book.ts';
import { pastOf, type RecordedLoad } from '../../../../collector/rooms/past.ts';
import { createRoomLearner } from '../../../../collector/rooms/room-learner.ts';
import { createRoomsKnown } from '../../../../collector/rooms/rooms-known.ts';
import { createStoreHistory } from '../../../../collector/store/history.ts';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import { createReadingsLog } from '../../../../collector/store/readings-log.ts';
import { systemClock } from '../../../../collector/system-clock.ts';
import { coolingNow, recentAir } from '../../../../collector/unloads/recent-air.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { farmFile } from '../../../../shared/farm/schema.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';
import { until } from '../../../tools/until.ts';

const from = Date.UTC(2025, 2, 3);
const days = 6;
const now = from + days * dayMs;
const farm = buildFarm(
  farmFile.parse({
    site: { id: 'north', name: 'North', timeZone: 'UTC' },
    rooms: [
      { id: 'lab', name: 'Lab', floorAreaM2: 16, coolingW: 2_400 },
      { id: 'store', name: 'Store' },
    ],
    sensors: [
      {
        id: 'a',
        topic: 'a',
        decoder: 'plain',
        at: 'lab',
        channels: [{ quantity: 'temperature', unit: 'degC' }],
      },
      {
        id: 'b',
        topic: 'b',
        decoder: 'plain',
        at: 'lab',
        channels: [{ quantity: 'temperature', unit: 'degC' }],
      },
      {
        id: 'out',
        topic: 'o',
        decoder: 'plain',
        at: 'outside',
        channels: [{ quantity: 'temperature', unit: 'degC' }],
      },
    ],
    containers: [
      {
        ...{ id: 'bag', name: 'Bag', kind: 'bag', massKg: 3, volumeL: 4.8 },
        shape: { form: 'brick', widthM: 0.2, depthM: 0.12, heightM: 0.2 },
      },
    ],
  }),
  [],
);
const load: RecordedLoad = {
  ...{ room: 'lab', at: from + 30 * hourMs, endedAt: from + 50 * hourMs, container: 'bag', count: 40 },
  ...{ startC: null, fan: true, cores: [] },
};

/** Nobody knows what bags give. */
const bagHeat = { look: async () => {}, atW: () => null };

/** Six days of a room that follows the weather a little and a load for an afternoon; `a` is silent at some hours. */
function site(spacingMs: number, isSilent: (hour: number) => boolean = () => false) {
  const clock = createManualClock(now);
  const database = openDatabase({ file: ':memory:', migrations, clock });
  onTestFinished(() => void database.close());
  const log = createReadingsLog(database);
  const say = (channel: string, valueAt: (hour: number) => number) => {
    const readings = [];
    for (let t = from; t < now; t += spacingMs) {
      if (channel === 'a.temperature' && isSilent((t - from) / hourMs)) continue;
      const value = valueAt((t - from) / hourMs);
      readings.push({
        channel,
        t,
        value,
        raw: value,
        quality: 'good' as const,
        retained: false,
        receivedAt: t,
      });
    }
    log.append(readings);
  };
  const day = (hour: number) => Math.cos(((hour - 15) / 12) * Math.PI);
  const bump = (hour: number) => (hour < 30 ? 0 : 3 * Math.exp(-(hour - 30) / 5));
  say('a.temperature', (hour) => 21.5 + 0.5 * day(hour) + bump(hour));
  say('b.temperature', (hour) => 22.5 + 0.5 * day(hour) + bump(hour));
  say('out.temperature', (hour) => 12 + 6 * day(hour));
  return { clock, database, history: createStoreHistory(database) };
}

it('puts the past of a room together: mean air, outside air, loads as they were recorded', () => {
  const { history } = site(minuteMs);
  const past = pastOf({
    farm,
    room: 'lab',
    now,
    history,
    loads: [load, { ...load, room: 'store' }, { ...load, at: load.at + 20 * hourMs, startC: 121 }],
    fanFilm: 1.6,
    bagsW: () => null,
  })!;
  expect(past.stepMs).toBe(minuteMs);
  expect(past.airC.length).toBe(days * 24 * 60);
  expect(past.airC[15 * 60]).toBeCloseTo(22.5, 2);
  expect(past.outsideC?.[15 * 60]).toBeCloseTo(18, 2);
  expect(past.loads).toHaveLength(2);
  expect(past.loads[0]).toMatchObject({
    at: load.at,
    until: load.endedAt,
    filmTimes: 1.6,
    load: { startC: 96 },
  });
  // The cycle's temperature was given: wet material in an opened vessel is no hotter than boiling water.
  expect(past.loads[1]!.load.startC).toBe(100);
  expect(
    pastOf({ farm, room: 'store', now, history, loads: [], fanFilm: 1.6, bagsW: () => null }),
  ).toBeNull();
});

it('tells for what part of each step a room’s coolers ran, from messages at uneven times', () => {
  const sensor = (id: string, at: string) => ({
    ...{ id, topic: id, decoder: 'plain' as const, at, everyS: 300 },
    channels: [{ quantity: 'cooler-on' as const, unit: 'state' as const }],
  });
  const withCoolers = (...sensors: ReturnType<typeof sensor>[]) =>
    buildFarm(farmFile.parse({ ...farm.file, sensors: [...farm.file.sensors, ...sensors] }), []);
  const { database, history } = site(minuteMs);
  const tell = (id: string, told: [second: number, value: number, quality?: 'suspect'][]) =>
    createReadingsLog(database).append(
      told.map(([second, value, quality = 'good' as never]) => {
        const t = from + second * 1000;
        return { channel: `${id}.cooler-on`, t, value, raw: value, quality, retained: false, receivedAt: t };
      }),
    );
  // At changes and now and then: on from 0:20 to 2:45, silent from 7:00 on, ten minutes after which nobody knows.
  tell('one', [
    ...[[20, 100] as [number, number], [90, 100] as [number, number], [165, 0] as [number, number]],
    ...[[420, 0] as [number, number]],
  ]);
  tell('two', [
    [0, 100],
    [240, 0, 'suspect'],
    [300, 0],
  ]);
  tell('elsewhere', [[0, 100]]);
  let seldom = false;
  const onIn = (...sensors: ReturnType<typeof sensor>[]) => {
    const past = pastOf({
      farm: withCoolers(...sensors),
      room: 'lab',
      now,
      history,
      loads: [],
      fanFilm: 1.6,
      bagsW: () => null,
    })!;
    expect(past.coolerOn?.length ?? past.airC.length).toBe(past.airC.length);
    seldom = past.coolerSeldom ?? false;
    return past.coolerOn && [...past.coolerOn.subarray(0, 20)];
  };
  const one = onIn(sensor('one', 'lab'))!;
  expect(one.slice(0, 4)).toEqual([1, 1, 0.75, 0]);
  expect(one.slice(4, 17)).toEqual(Array(13).fill(0));
  expect(one.slice(17)).toEqual(Array(3).fill(Number.NaN));
  // Two in one room: the mean, and the one that is known where the other is not.
  const both = onIn(sensor('one', 'lab'), sensor('two', 'lab'))!;
  expect(both.slice(0, 6)).toEqual([1, 1, 0.875, 0.5, 0.5, 0]);
  expect(both.slice(15)).toEqual([0, 0, ...Array(3).fill(Number.NaN)]);
  // Asked every four minutes and never between, it says only by chance when it came on.
  tell(
    'seldom',
    Array.from({ length: 12 }, (_, k): [number, number] => [240 * k, k % 3 === 0 ? 100 : 0]),
  );
  expect(seldom).toBe(false);
  expect(onIn(sensor('seldom', 'lab'))).toBeNull();
  expect(seldom).toBe(true);
  expect(onIn(sensor('one', 'lab'), sensor('seldom', 'lab'))).toBeNull();
  // One that speaks as it switches tells it exactly, however seldom it does and however long its period is.
  tell(
    'switching',
    [0, 240, 480, 720, 900, 1140, 1380, 1620, 1860, 2100, 2340, 2580].map((t): [number, number] => [
      t,
      t < 900 ? 100 : 0,
    ]),
  );
  expect(onIn(sensor('switching', 'lab'))!.slice(0, 4)).toEqual([1, 1, 1, 1]);
  expect(seldom).toBe(false);
  // Nothing tells it, or what would is of another room or never spoke.
  expect(onIn()).toBeNull();
  expect(onIn(sensor('elsewhere', 'store'), sensor('mute', 'lab'))).toBeNull();
  expect(seldom).toBe(false);
  // And at one instant, for a plan: what was told last, of two the mean, for as long as it holds.
  const runsAt = (second: number, ...sensors: ReturnType<typeof sensor>[]) =>
    coolingNow({ farm: withCoolers(...sensors), room: 'lab', now: from + second * 1000, history });
  expect(runsAt(100, sensor('one', 'lab'))).toBe(1);
  expect(runsAt(400, sensor('one', 'lab'))).toBe(0);
  expect(runsAt(100, sensor('one', 'lab'), sensor('switching', 'lab'))).toBe(1);
  expect(runsAt(400, sensor('one', 'lab'), sensor('switching', 'lab'))).toBe(0.5);
  expect(runsAt(3_600, sensor('one', 'lab'))).toBeNull();
  expect(runsAt(100, sensor('mute', 'lab'))).toBeNull();
  expect(runsAt(100)).toBeNull();
});

it('a sensor that falls silent steps neither the past that a room is learned from nor the air of now', () => {
  const whole = site(minuteMs).history;
  const silent = (since: number) => site(minuteMs, (hour) => hour >= since).history;
  const furthestK = (a: ArrayLike<number>, b: ArrayLike<number>, byK = 0): number =>
    Math.max(...Array.from(a, (tempC, step) => Math.abs(tempC - b[step]! - byK)));
  const past = (history: typeof whole) =>
    pastOf({ farm, room: 'lab', now, history, loads: [], fanFilm: 1.6, bagsW: () => null })!.airC;
  expect(past(silent(6 * 24 - 5))).toHaveLength(past(whole).length);
  expect(furthestK(past(silent(6 * 24 - 5)), past(whole))).toBeLessThan(0.01);
  // Silent for most of the last day, it sets the level no more: half the kelvin by which the two differ, all along.
  expect(furthestK(past(silent(50)), past(whole), 0.5)).toBeLessThan(0.01);

  // Watched against a plan of before it fell silent, a load's air stays on the level of that plan.
  const at = from + 100 * hourMs;
  const air = (history: typeof whole, until: number, more: object = {}) =>
    recentAir({ farm, room: 'lab', now: until, history, ...more }).airC;
  const watched = (history: typeof whole) =>
    air(history, at + 20 * hourMs, { from: at - 10 * minuteMs, stepMs: minuteMs, levelAt: at });
  expect(watched(whole)).toHaveLength(20 * 60 + 11);
  expect(furthestK(watched(silent(101)), watched(whole))).toBeLessThan(0.01);
  expect(furthestK(watched(silent(80)), watched(whole), 0.5)).toBeLessThan(0.01);
  expect(furthestK(air(silent(80), at), air(whole, at), 0.5)).toBeLessThan(0.01);
  expect(furthestK(air(silent(98), at), air(whole, at))).toBeLessThan(0.01);
});

it('learns a room in a thread, keeps what was learned, and says so', async () => {
  const { clock, database, history } = site(10 * minuteMs);
  const problems: unknown[] = [];
  const learnedRooms: string[] = [];
  const learner = createRoomLearner({
    ...{ database, clock, history, farm: () => farm, loads: () => [load], bagHeat },
    onLearned: (room) => learnedRooms.push(room),
    onProblem: (text, thrown) => problems.push(text, thrown),
  });
  onTestFinished(() => learner.close());
  expect(learner.page('lab')).toMatchObject({ learnedAt: null, days: 0 });
  expect(learner.page('store').notes.join(' ')).toMatch(/Write floorAreaM2 into the farm file/);

  learner.start();
  await until(systemClock, () => learnedRooms.length + problems.length > 0);
  expect(problems).toEqual([]);
  expect(learnedRooms).toEqual(['lab']);
  const page = learner.page('lab');
  expect(page.learnedAt).toBe(now);
  expect(page.words[0]).toMatch(/learned from 5 days and 1 unload, the cooling to within \d+ %/);
  expect(learner.fitOf('lab').outside.from).toBe('sensor');

  // Another make of the tool left something else there: as good as nothing.
  database.prepare('UPDATE room_fit SET body = ?').run('{"mean":[]}');
  expect(createFitBook(database).newest('lab')).toBeUndefined();
  expect(learner.page('lab').learnedAt).toBeNull();
});

it('a room whose past cannot be read leaves the others theirs', async () => {
  const { clock, database, history } = site(dayMs);
  const problems: string[] = [];
  let read = 0;
  const learner = createRoomLearner({
    ...{ database, clock, history, farm: () => farm, bagHeat, onLearned() {} },
    loads() {
      read += 1;
      throw new Error('disk I/O error');
    },
    onProblem: (text) => problems.push(text),
  });
  onTestFinished(() => learner.close());
  learner.start();
  await until(systemClock, () => problems.length === 2);
  expect(read).toBe(2);
  expect(problems).toEqual(['Room lab could not be learned', 'Room store could not be learned']);
});

it('a thread that was lost between two rooms says so instead of keeping the next one waiting', async () => {
  const { history } = site(dayMs);
  const past = pastOf({ farm, room: 'lab', now, history, loads: [], fanFilm: 1.6, bagsW: () => null })!;
  const thread = createFitThread();
  await thread.close();
  const order = { room: 'lab', timeZone: 'UTC', past, prior: assumedRoom(farm, 'lab') };
  await expect(thread.fit(order)).rejects.toThrow(/has ended/);
});

it('what was learned later is not known before', () => {
  const { database } = site(dayMs);
  const book = createFitBook(database);
  const fit = createRoomLearner({
    ...{ database, clock: createManualClock(now), history: createStoreHistory(database) },
    ...{ farm: () => farm, loads: () => [], bagHeat, onLearned() {}, onProblem() {} },
  }).fitOf('lab');
  book.keep('lab', now, fit);
  expect(book.newest('lab', now - 1)).toBeUndefined();
  expect(book.newest('lab', now)).toEqual({ learnedAt: now, fit });
});

it('alarms are told what was known at an instant, of loads too, and nothing that is only assumed or long past', () => {
  const { database } = site(dayMs);
  const book = createFitBook(database);
  const known = createRoomsKnown({
    ...{ book, farm: () => farm, loads: () => [load, { ...load, room: 'store' }], bagsW: () => 40 },
  });
  expect(known.fitAt('lab', now)).toBeNull();
  const fit = { ...defaultRoom(16), trainedDays: 8 };
  book.keep('lab', now, fit);
  book.keep('lab', now + dayMs, { ...fit, trainedDays: 9 });
  expect(known.fitAt('lab', now - 1)).toBeNull();
  expect(known.fitAt('lab', now + hourMs)?.trainedDays).toBe(8);
  expect(known.fitAt('lab', now + hourMs)).toBe(known.fitAt('lab', now + 2 * hourMs));
  expect(known.fitAt('lab', now + 2 * dayMs)?.trainedDays).toBe(9);
  expect(known.fitAt('lab', now + hourMs)?.trainedDays).toBe(8);
  expect(known.fitAt('lab', now + 20 * dayMs)).toBeNull();
  expect(known.fitAt('store', now)).toBeNull();
  expect(known.loadsAt('lab', load.at)).toMatchObject([{ at: load.at, filmTimes: 1.6, load: { count: 40 } }]);
  for (const t of [load.at - 1, load.endedAt!]) expect(known.loadsAt('lab', t)).toEqual([]);
  expect(known.localHour(from + 90 * minuteMs)).toBeCloseTo(1.5, 9);
});
