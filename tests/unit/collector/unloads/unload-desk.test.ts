import { setImmediate as nextTurn } from 'node:timers/promises';
import { expect, test } from 'vitest';
import { systemClock } from '../../../../collector/system-clock.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';
import type { UnloadEvent, UnloadQuestion } from '../../../../shared/unloads.ts';
import { smallFarm } from '../../../tools/alarm-site.ts';
import { until } from '../../../tools/until.ts';
import { wholeSite } from '../../../tools/whole-site.ts';

const farm = smallFarm({
  containers: [
    {
      ...{ id: 'block', name: 'Block 2.3 kg', kind: 'block', massKg: 2.3, volumeL: 3.4 },
      shape: { form: 'brick', widthM: 0.12, depthM: 0.12, heightM: 0.24 },
    },
    {
      ...{ id: 'jar', name: 'Jar 0.5 L', kind: 'jar', massKg: 0.4, volumeL: 0.5 },
      shape: { form: 'cylinder', diameterM: 0.08, heightM: 0.1 },
    },
  ],
});
const options = { fan: false, extraCoolingW: 0 };
const load = { container: 'block', count: 12, startC: 95 };
const question: UnloadQuestion = { room: 'warm-room', load, at: null, options };

type Whole = Awaited<ReturnType<typeof wholeSite>>;
let ids = 0;
const event = (whole: Whole, kind: UnloadEvent['kind'], more: object = {}) =>
  ({
    ...{ kind, id: `event-00${++ids}`, t: whole.clock.now(), who: 'Rowan', unload: 'unload-1' },
    ...more,
  }) as UnloadEvent;

/** The room's air for so long, told every 30 s as its sensors do, with the other sensors calm. */
async function breathe(whole: Whole, minutes: number, airC: (minute: number) => number): Promise<void> {
  for (let half = 0; half < 2 * minutes; half += 1) {
    whole.clock.advanceBy(30_000);
    const jitter = half % 2 === 0 ? 0 : 0.1;
    const tempC = airC(half / 2) + jitter;
    whole.say('warm/air', JSON.stringify({ t: tempC, h: 60 + jitter }));
    whole.say('a1', String(tempC));
    whole.say('a2', String(tempC - 1));
    // What a minute set off is worked out before the next.
    await nextTurn();
  }
}

/** A site whose warm room has stood at 24 °C for some hours. */
async function calmSite() {
  const whole = await wholeSite(farm);
  await breathe(whole, 180, () => 24);
  const { unloads } = whole.site.desk;
  const open = () => whole.site.desk.live().unloads.open[0];
  return {
    ...{ whole, unloads, open },
    record: (kind: UnloadEvent['kind'], more: object = {}) => unloads.record(event(whole, kind, more)),
    /** Declares the load and waits for its plan. */
    async begin(more: object = {}) {
      unloads.record(event(whole, 'begun', { room: 'warm-room', load, options, ...more }));
      await until(systemClock, () => open()?.plan !== null);
      return open()!.plan!;
    },
  };
}

test('a question is answered and changes nothing; a larger load brings the room further', async () => {
  const { whole, unloads } = await calmSite();
  const small = await unloads.plan(question);
  const large = await unloads.plan({ ...question, load: { ...load, count: 60 } });
  expect(small.beforeC).toBeGreaterThan(23.5);
  expect(small.beforeC).toBeLessThan(24.6);
  expect(large.peak.tempC.likely).toBeGreaterThan(small.peak.tempC.likely);
  expect(small.inoculateAt!.likely).toBeGreaterThan(whole.clock.now() + hourMs);
  expect(small.assumed.length).toBeGreaterThan(0);
  expect(unloads.list()).toEqual([]);
});

test.each([
  [{ room: 'attic' }, /no room 'attic'/],
  [{ load: { ...load, container: 'box' } }, /no container 'box'/],
  [{ load: { ...load, startC: 20 } }, /cool enough to inoculate already/],
  [{ at: 0 }, /That hour is over/],
  [{ at: Date.UTC(2027, 0, 1) }, /A plan reaches 24 hours ahead/],
])('a question about %j is refused with how to mend it', async (wrong, why) => {
  const { unloads } = await calmSite();
  await expect(unloads.plan({ ...question, ...wrong })).rejects.toThrow(why);
});

test('declared, it holds back the high alarm while the room goes by the plan, and ends by itself', async () => {
  const { whole, unloads, begin, open } = await calmSite();
  // Jars are cool within hours.
  const plan = await begin({ load: { container: 'jar', count: 60, startC: 95 } });
  const at = whole.clock.now();
  const curve = (minute: number) =>
    plan.air.findLast(({ t }) => t <= at + minute * minuteMs)?.value.likely ?? plan.beforeC;
  // Warm enough to ring without an unload.
  await breathe(whole, 60, (minute) => Math.max(28.4, curve(minute)));
  const high = whole.alarm('high/warm-room.temperature');
  expect(high?.state).toBe('suppressed');
  expect(open()!.now).toMatchObject({ airC: expect.any(Number), wbgtC: expect.any(Number) });
  expect(open()!.now!.coreC.likely).toBeLessThan(95);
  await breathe(whole, 6 * 60, (minute) => Math.max(24, curve(minute + 60)));
  const [line] = unloads.list();
  expect(line).toMatchObject({ stage: 'ended', who: 'Rowan', room: 'warm-room' });
  expect(line!.peakC).toBeGreaterThan(28);
  const { report, events } = unloads.unload('unload-1');
  expect(events.at(-1)).toMatchObject({ kind: 'ended', because: 'itself' });
  expect(report!.taught.join(' ')).toMatch(/against the plan/);
  expect(open()).toBeUndefined();
}, 60_000);

test('beyond its plan the unload alarm rings', async () => {
  const { whole, begin, open } = await calmSite();
  const plan = await begin();
  // A room that swings is away from where its plan begins at once: nothing is said of the first minutes.
  await breathe(whole, 2, () => plan.peak.tempC.high + 4);
  expect(open()!.now).toMatchObject({ beyondK: null, remarks: [] });
  await breathe(whole, 13, () => plan.peak.tempC.high + 4);
  expect(whole.alarm('unload-beyond/warm-room')).toMatchObject({ state: 'unacknowledged', priority: 1 });
  expect(open()!.now!.remarks[0]).toMatch(/\d\.\d K warmer than the most that was planned/);
  expect(whole.alarm('high/warm-room.temperature')?.state).toBe('suppressed');
  // Shelved it rings no more in the place of the high alarm.
  const shelve = { act: 'shelve', forMinutes: 60, oneShot: false, why: 'seen' } as const;
  whole.site.desk.actOnAlarm('unload-beyond/warm-room', shelve, 'Rowan');
  await breathe(whole, 15, () => plan.peak.tempC.high + 4);
  expect(whole.alarm('unload-beyond/warm-room')?.state).toBe('shelved');
  expect(whole.alarm('high/warm-room.temperature')?.state).toBe('unacknowledged');
});

test('a core measured cooler than expected brings the hour of inoculation forward; one of the air is set aside', async () => {
  const { whole, begin, open, record } = await calmSite();
  await begin();
  await breathe(whole, 40, () => 25);
  const before = open()!.now!.inoculateAt!.likely;
  const { low } = open()!.now!.coreC;
  record('measured', { where: 'core', tempC: low - 8 });
  await nextTurn();
  const after = open()!.now!.inoculateAt!.likely;
  expect(after).toBeLessThan(before - 10 * minuteMs);
  record('measured', { where: 'core', tempC: 25.2, who: 'Ash' });
  await nextTurn();
  expect(open()!.now!.remarks.join(' ')).toMatch(/room's air/);
  expect(Math.abs(open()!.now!.inoculateAt!.likely - after)).toBeLessThan(5 * minuteMs);
});

test('a load that stands there counts in the next plan until it has ended', async () => {
  const { whole, unloads, begin, record } = await calmSite();
  const there = async () => (await unloads.plan(question)).assumed.join(' ').includes('stand there already');
  await begin();
  await breathe(whole, 10, () => 25);
  expect(await there()).toBe(true);
  record('ended', { because: 'hand' });
  whole.clock.advanceBy(minuteMs);
  expect(await there()).toBe(false);
});

test('a load that is scheduled before counts in the plan of another, but never in its own', async () => {
  const { unloads, record, whole } = await calmSite();
  const now = whole.clock.now();
  const later: UnloadQuestion = { ...question, load: { ...load, count: 30 }, at: now + 3 * hourMs };
  const alone = await unloads.plan(later);
  record('scheduled', { unload: 'unload-9', room: 'warm-room', load: later.load, options, at: later.at });
  expect(await unloads.plan(later)).toEqual(alone);
  record('scheduled', { room: 'warm-room', load: { ...load, count: 40 }, options, at: now + 2 * hourMs });
  record('scheduled', { unload: 'unload-2', room: 'cold-room', load, options, at: now + 2 * hourMs });
  const second = await unloads.plan(later);
  expect(second.beforeC).toBeGreaterThan(alone.beforeC + 0.5);
  expect(second.peak.tempC.likely).toBeGreaterThan(alone.peak.tempC.likely);
  expect(second.assumed.join(' ')).toMatch(/counted as if it came: 40 × Block 2.3 kg at \d\d:\d\d\./);
  record('withdrawn');
  expect(await unloads.plan(later)).toEqual(alone);
  // Its hour is past by a little: asked about now it is itself, and beside another it counts as coming at once.
  await breathe(whole, 185, () => 24);
  const told = async (count: number) =>
    (await unloads.plan({ ...question, load: { ...load, count } })).assumed.join(' ');
  expect(await told(30)).not.toContain('scheduled');
  expect(await told(20)).toContain('30 × Block 2.3 kg at once, being late');
});

test('a restart finds the unload, its plan and its alarm as they were', async () => {
  const { whole, begin } = await calmSite();
  const plan = await begin();
  await breathe(whole, 15, () => plan.peak.tempC.high + 4);
  const again = await wholeSite(farm, { clock: whole.clock, database: whole.database });
  await until(systemClock, () => again.site.desk.live().unloads.open[0]?.now !== null);
  const found = again.site.desk.live().unloads.open[0]!;
  expect(found.plan).toEqual(plan);
  expect(found.now!.coreC.likely).toBeGreaterThan(60);
  expect(again.alarm('high/warm-room.temperature')?.state).toBe('suppressed');
});

test('a room that no sensor tells of gets a plan all the same, and says what it rests on', async () => {
  const { unloads, begin, open, whole } = await calmSite();
  const plan = await unloads.plan({ ...question, room: 'cold-room' });
  expect(plan.assumed.join(' ')).toMatch(/sensor/i);
  await begin({ room: 'cold-room' });
  await breathe(whole, 30, () => 24);
  expect(open()!.now).toMatchObject({ airC: null, beyondK: null });
  expect(open()!.now!.coreC.likely).toBeLessThan(95);
});

test('a sensor that goes silent midway leaves the load followed by what was expected', async () => {
  const { begin, open, whole } = await calmSite();
  await begin();
  await breathe(whole, 20, () => 26);
  whole.clock.advanceBy(3 * hourMs);
  await nextTurn();
  expect(open()!.now).toMatchObject({ airC: null, beyondK: null });
  expect(Number.isFinite(open()!.now!.coreC.likely)).toBe(true);
  expect(whole.site.desk.live().alarms.some(({ id }) => id.startsWith('silent'))).toBe(true);
});

test('a load that nobody declared is asked about once, and a yes makes it an unload since then', async () => {
  const { whole, unloads } = await calmSite();
  await breathe(whole, 180, () => 24);
  const came = whole.clock.now();
  // A cart is wheeled in: the air rises by five degrees within minutes, and turns.
  await breathe(whole, 40, (minute) => 24 + 5 * (1 - Math.exp(-minute / 6)) * Math.exp(-minute / 200));
  const { guesses } = whole.site.desk.live().unloads;
  expect(guesses).toHaveLength(1);
  expect(guesses[0]).toMatchObject({ room: 'warm-room', why: expect.stringMatching(/hot load/) });
  expect(Math.abs(guesses[0]!.at - came)).toBeLessThan(15 * minuteMs);
  // Nobody has said that it is one: the ordinary alarm rings.
  await breathe(whole, 10, () => 29);
  expect(whole.alarm('high/warm-room.temperature')?.state).toBe('unacknowledged');
  const { id, at } = guesses[0]!;
  unloads.record(event(whole, 'begun', { unload: id, t: at, room: 'warm-room', load, options }));
  expect(whole.site.desk.live().unloads).toMatchObject({
    guesses: [],
    open: [{ id, at, stage: 'underway' }],
  });
  await breathe(whole, 20, () => 28.5);
  expect(whole.site.desk.live().unloads.guesses).toEqual([]);
});

test('a question that the room’s later course speaks against is taken back, and stays on record', async () => {
  const { whole } = await calmSite();
  // A cooler that takes eight minutes to bring the air down, and rests for twelve.
  const swing = (minute: number): number => {
    const at = minute % 20;
    return at < 12 ? 23 + 2 * (at / 12) ** 0.7 : 25 - 2 * ((at - 12) / 8) ** 1.5;
  };
  await breathe(whole, 240, swing);
  // Steam, for a quarter of an hour.
  await breathe(whole, 25, (minute) => swing(minute) + (minute < 15 ? 4 : 4 * Math.exp((15 - minute) / 3)));
  const { guesses } = whole.site.desk.live().unloads;
  expect(guesses).toMatchObject([{ room: 'warm-room' }]);
  await breathe(whole, 100, (minute) => swing(minute + 5));
  expect(whole.site.desk.live().unloads.guesses).toEqual([]);
  const events = whole.database
    .prepare<[string], string>('SELECT body FROM unload_event WHERE unload = ? ORDER BY seq')
    .pluck()
    .all(guesses[0]!.id)
    .map((body) => JSON.parse(body) as UnloadEvent);
  expect(events).toMatchObject([
    { kind: 'asked', who: 'Shelfwarden' },
    { kind: 'denied', who: 'Shelfwarden', why: expect.stringMatching(/gone on as before/) },
  ]);
  const { denied } = whole.site.desk.unloads.room('warm-room');
  expect(denied).toMatchObject([{ id: guesses[0]!.id, at: guesses[0]!.at, why: guesses[0]!.why }]);
  expect(denied[0]).toMatchObject({
    who: 'Shelfwarden',
    because: expect.stringMatching(/gone on as before/),
  });
  expect(whole.site.desk.unloads.room('cold-room').denied).toEqual([]);
  // Nor is it asked again.
  await breathe(whole, 60, (minute) => swing(minute + 5));
  expect(whole.site.desk.live().unloads.guesses).toEqual([]);
});

test('a room that goes its ordinary way raises no question', async () => {
  const { whole } = await calmSite();
  await breathe(whole, 12 * 60, (minute) => 24 + 0.4 * Math.sin(minute / 10) + Math.sin(minute / 230));
  expect(whole.site.desk.live().unloads.guesses).toEqual([]);
});
