import fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { problemDetails } from '../../shared/api/problem.ts';
import { hourMs } from '../../shared/time.ts';
import { smallFarm, startAt } from '../tools/alarm-site.ts';
import { wholeSite } from '../tools/whole-site.ts';
import { build } from '../unit/dashboard/server/build.ts';

vi.setConfig({ testTimeout: 120_000 });

const farm = smallFarm({
  containers: [
    {
      ...{ id: 'block', name: 'Block 2.3 kg', kind: 'block', massKg: 2.3, volumeL: 3.4 },
      shape: { form: 'brick', widthM: 0.12, depthM: 0.12, heightM: 0.24 },
    },
  ],
});
const load = { container: 'block', count: 12, startC: null };
const options = { fan: false, extraCoolingW: 0 };
const question = { room: 'warm-room', load, at: null, options };
const common = { id: 'event-0001', t: startAt, who: 'Ada', unload: 'cart-one' };
const begun = { ...common, kind: 'begun', room: 'warm-room', load, options };
const base = '/api/sites/farm';

/** The server over a whole site, not over a desk in memory. */
async function serve() {
  const whole = await wholeSite(farm);
  return { ...whole, ...build({ desk: whole.site.desk }) };
}
type Served = Awaited<ReturnType<typeof serve>>;

/** Words by which a refusal says what can be done about it. */
const mends =
  /Known: |Correct|Give|Ask|Declare|declare|Answer|answer|schedule|say first|nothing is left|take that one|the list of|ends? it/;

/** A refusal says what is wrong, where, and how to mend it; and nothing of the inside. */
function expectHelp(response: Awaited<ReturnType<Served['post']>>, about: string): void {
  expect(response.statusCode, about).toBeGreaterThanOrEqual(400);
  expect(response.statusCode, about).toBeLessThan(500);
  const { detail, errors } = problemDetails.strict().parse(response.json());
  expect(detail, about).not.toMatch(/undefined|\[object|NaN|Infinity|the whole|indented|zod/i);
  expect(detail, about).toMatch(/[.)]$/);
  if (errors === undefined) expect(detail, about).toMatch(mends);
  else {
    expect(errors.length, about).toBeGreaterThan(0);
    expect(new Set(errors.map((error) => JSON.stringify(error))).size, about).toBe(errors.length);
    for (const { pointer, found, wanted, mend } of errors) {
      expect(pointer, about).toMatch(/^#/);
      for (const part of [found, wanted, mend]) expect(part.trim(), about).not.toBe('');
    }
  }
}

const wrongQuestions: readonly [string, unknown, RegExp][] = [
  [
    '2,000 blocks',
    { ...question, load: { ...load, count: 2_000 } },
    /count 2000; wanted a whole number from 1 to 999/,
  ],
  ['none', { ...question, load: { ...load, count: 0 } }, /count 0/],
  ['half a block', { ...question, load: { ...load, count: 0.5 } }, /whole number/],
  [
    'a core as words',
    { ...question, load: { ...load, startC: '96 C' } },
    /write 96 alone, without quotes or unit/,
  ],
  [
    'a cold core',
    { ...question, load: { ...load, startC: 20 } },
    /cool enough to inoculate already .*Give its core/,
  ],
  ['a core beyond steam', { ...question, load: { ...load, startC: 400 } }, /startC 400/],
  ['a room of no farm', { ...question, room: '__proto__' }, /no room '__proto__'.* Known: warm-room/],
  ['a container of no farm', { ...question, load: { ...load, container: 'Block' } }, /Known: block/],
  ['an hour long past', { ...question, at: 0 }, /That hour is over\. Ask for now/],
  ['an hour far ahead', { ...question, at: startAt + 40 * hourMs }, /reaches 24 hours ahead/],
  ['an hour beyond all clocks', { ...question, at: 1e300 }, /at 1e\+300/],
  [
    'cooling below nothing',
    { ...question, options: { fan: 1, extraCoolingW: -5 } },
    /fan 1.*extraCoolingW -5/,
  ],
  ['no load', { room: 'warm-room', at: null, options }, /no load.*add load with a group of keys/],
  ['a list', [question], /a list of 1; wanted a group of keys \(room, load, at, options\); send an object/],
  ['nothing', null, /nothing; wanted a group of keys/],
  ['a key too many', { ...question, colour: 'red' }, /unknown key "colour"/],
];
const wrongActs: readonly [string, unknown, RegExp][] = [
  [
    'an unload of no name',
    { ...common, kind: 'ended', because: 'hand' },
    /no unload 'cart-one'\. Declare it first/,
  ],
  [
    'an end that came by itself',
    { ...common, kind: 'ended', because: 'itself' },
    /because "itself"; wanted hand/,
  ],
  ['a question that nobody asked', { ...common, kind: 'denied' }, /no question 'cart-one'/],
  [
    'a question of its own',
    { ...common, kind: 'asked', room: 'warm-room', at: startAt, why: 'x' },
    /kind "asked"/,
  ],
  ['a load that comes tomorrow, now', { ...begun, t: startAt + 24 * hourMs }, /lies ahead .* Correct it/],
  [
    'a load of last week',
    { ...begun, t: startAt - 170 * hourMs },
    /more than two days ago.* Correct the time/,
  ],
  [
    'a schedule of next month',
    { ...begun, kind: 'scheduled', at: startAt + 800 * hourMs },
    /up to 14 days ahead/,
  ],
  [
    'a probe of no room',
    { ...begun, probe: 'moon.probe-temperature' },
    /no probe 'moon\.probe-temperature'.* Known: /,
  ],
  ['a kind of its own', { ...common, kind: 'exploded' }, /kind "exploded"/],
  ['nobody', { ...begun, who: '' }, /who ""/],
];

test('each question and each act that cannot be is refused with what, where and how to mend it', async () => {
  const served = await serve();
  for (const [paths, wrong] of [
    [`${base}/unloads/plan`, wrongQuestions],
    [`${base}/unloads/events`, wrongActs],
  ] as const)
    for (const [name, body, says] of wrong) {
      const response = await served.post(paths, body);
      expectHelp(response, name);
      expect(response.json().detail, name).toMatch(says);
    }
  expectHelp(await served.get(`${base}/unloads/no-such-cart`), 'an unload that is not there');
  expectHelp(await served.get(`${base}/rooms/attic`), 'a room that is not there');
  expect(served.site.desk.unloads.list()).toEqual([]);
  expect(served.logged).toEqual([]);
});

test('what comes after a load is refused in the same way, whatever its turn', async () => {
  const { post, clock: _, ...whole } = await serve();
  const act = (kind: string, more: object = {}) => ({ ...common, id: `more-${kind}-0001`, kind, ...more });
  expect((await post(`${base}/unloads/events`, begun)).statusCode).toBe(201);
  expect((await post(`${base}/unloads/events`, begun)).statusCode).toBe(201);
  const refused: readonly [object, RegExp][] = [
    [{ ...begun, who: 'Bo' }, /event-0001/],
    [{ ...begun, id: 'event-0002' }, /underway already; declare another/],
    [{ ...begun, id: 'event-0003', unload: 'cart-two' }, /Ada declared an unload of 12 in Warm room/],
    [act('measured', { where: 'core', tempC: 900 }), /tempC 900/],
    [act('measured', { where: 'lid', tempC: 90 }), /where "lid"; wanted one of core, surface/],
    [
      act('measured', { where: 'core', tempC: 90, t: startAt - hourMs }),
      /before the load came in .* Correct the time/,
    ],
    [act('probed', { channel: 'moon' }), /no probe 'moon'/],
  ];
  for (const [body, says] of refused) {
    const response = await post(`${base}/unloads/events`, body);
    expect(response.statusCode, JSON.stringify(body)).toBeGreaterThanOrEqual(400);
    expect(response.json().detail).toMatch(says);
  }
  expect((await post(`${base}/unloads/events`, act('ended', { because: 'hand' }))).statusCode).toBe(201);
  const late = await post(`${base}/unloads/events`, act('measured', { where: 'core', tempC: 60 }));
  expect(late.json().detail).toMatch(/over since .*; declare the load that stands there now/);
  expect(whole.site.desk.unloads.list()).toHaveLength(1);
});

test('nonsense of any kind is answered or refused with help, and never breaks the site', async () => {
  const served = await serve();
  const numbers = fc.oneof(fc.integer(), fc.double(), fc.constantFrom(-1, 0, 1e300, Number.MAX_SAFE_INTEGER));
  const texts = fc.oneof(fc.constantFrom('warm-room', 'block', '', '__proto__', 'constructor'), fc.string());
  const any = fc.oneof({ weight: 2, arbitrary: numbers }, { weight: 2, arbitrary: texts }, fc.jsonValue());
  const orGood = <T>(good: T) => fc.oneof({ weight: 3, arbitrary: fc.constant(good) }, any);
  const questions = fc.record(
    {
      room: orGood('warm-room'),
      at: orGood(null),
      load: fc.oneof(
        fc.record(
          { container: orGood('block'), count: orGood(12), startC: orGood(null) },
          { requiredKeys: [] },
        ),
        any,
      ),
      options: fc.oneof(fc.record({ fan: orGood(false), extraCoolingW: orGood(0) }), any),
    },
    { requiredKeys: [] },
  );
  const property = fc.asyncProperty(questions, async (body) => {
    const response = await served.post(`${base}/unloads/plan`, body);
    if (response.statusCode !== 200 && response.statusCode !== 429)
      expectHelp(response, JSON.stringify(body));
  });
  await fc.assert(property, { seed: 20261129, numRuns: 150 });
  expect(served.logged).toEqual([]);
});
