import fc from 'fast-check';
import { expect, test } from 'vitest';
import { createEngine, type Engine } from '../../collector/forecast/engine.ts';
import { stepMs } from '../../collector/forecast/grid.ts';
import type { BatchState } from '../../shared/batches.ts';
import type { CohortForecast } from '../../shared/forecasts.ts';
import { groupBy } from '../../shared/group-by.ts';
import { dayMs } from '../../shared/time.ts';
import {
  at,
  type BatchOptions,
  batchOf,
  dayOf,
  engineWith,
  farm,
  readings,
  start,
} from '../unit/forecast/farm.ts';

const seed = 31;
const days = 9;
const batches: BatchOptions[] = [
  {
    shakes: [5.3],
    checks: [
      [4.6, 0.2],
      [6.8, 0.75],
    ],
  },
  { id: 'b2', shelf: 'A2', moves: [[3.4, 'A1']], checks: [[5, 0.1]] },
];

/** Air with a day in it, a warm spell and a gap. */
const air = (day: number): number => 23 + 2 * Math.sin(2 * Math.PI * day) + (day > 4 && day < 4.4 ? 9 : 0);
const all = readings(-2, days, air);
const kept = [...all.t.keys()].filter((i) => Math.abs(dayOf(all.t[i]!) - 6.2) > 0.4);
const readingAt = (i: number) => ({ t: all.t[i]!, value: all.value[i]! });

const add = (engine: Engine, indices: readonly number[]): void => {
  const list = indices.map(readingAt);
  engine.addReadings(
    'on-a1.temperature',
    list.map(({ t }) => t),
    list.map(({ value }) => value),
  );
};

/** Each batch as it was known at an instant. */
const knownAt = (t: number): BatchState[] =>
  batches.map((options) => {
    const until = dayOf(t);
    return batchOf({
      ...options,
      moves: (options.moves ?? []).filter(([day]) => day <= until),
      checks: (options.checks ?? []).filter(([day]) => day <= until),
      shakes: (options.shakes ?? []).filter((day) => day <= until),
    });
  });

const empty = (): Engine => {
  const engine = createEngine();
  engine.setFarm(farm);
  return engine;
};

/** All at once, nothing asked before the end. */
const whole = (): CohortForecast[] => {
  const engine = empty();
  add(engine, kept);
  engine.setBatches(knownAt(at(days)));
  return engine.advance(at(days)).forecasts;
};
const expected = whole();

/** Compares numbers at any depth to 1e-9 relative, all else exactly. */
function same(one: unknown, other: unknown, path = ''): void {
  if (typeof one === 'number' && typeof other === 'number') {
    if (Math.abs(one - other) > 1e-9 * Math.max(1, Math.abs(other)))
      throw new Error(`${path}: ${one} is not ${other}`);
  } else if (typeof one === 'object' && one !== null && typeof other === 'object' && other !== null) {
    expect(Object.keys(one), path).toEqual(Object.keys(other));
    for (const key of Object.keys(one))
      same(one[key as keyof typeof one], other[key as keyof typeof other], `${path}.${key}`);
  } else expect(one, path).toEqual(other);
}

test('incremental equals batch: any pieces, any order, late readings, looks in between', () => {
  const cuts = fc.uniqueArray(fc.double({ min: 0.2, max: days - 0.2, noNaN: true }), {
    minLength: 1,
    maxLength: 9,
  });
  const lateness = fc.array(
    fc.record({ from: fc.nat(kept.length - 1), count: fc.integer({ min: 1, max: 80 }) }),
    {
      maxLength: 4,
    },
  );
  fc.assert(
    fc.property(cuts, lateness, (when, late) => {
      const withheld = new Set(late.flatMap(({ from, count }) => kept.slice(from, from + count)));
      const engine = empty();
      let last = Number.NEGATIVE_INFINITY;
      for (const day of [...when].sort((a, b) => a - b)) {
        add(
          engine,
          kept.filter((i) => all.t[i]! > last && all.t[i]! <= at(day) && !withheld.has(i)),
        );
        last = at(day);
        engine.setBatches(knownAt(last));
        engine.advance(last);
      }
      add(
        engine,
        kept.filter((i) => all.t[i]! > last && !withheld.has(i)),
      );
      add(engine, [...withheld].reverse());
      engine.setBatches(knownAt(at(days)));
      const told = new Map(engine.advance(at(days)).forecasts.map((one) => [one.cohort, one]));
      same(
        expected.map(({ cohort }) => told.get(cohort)),
        expected,
      );
    }),
    { seed, numRuns: 12 },
  );
});

test('a batch that is given again without news, or a farm file read again, changes nothing', () => {
  const engine = empty();
  add(engine, kept);
  for (const day of [2, 5, 7.7]) {
    engine.setBatches(knownAt(at(day)));
    engine.advance(at(day));
    engine.setFarm(farm);
  }
  engine.setBatches(knownAt(at(days)));
  same(engine.advance(at(days)).forecasts, expected);
});

test('same seed, same bytes', () => {
  expect(JSON.stringify(whole())).toBe(JSON.stringify(expected));
});

test('a reading 6 h late costs only the span that it touched', () => {
  const engine = empty();
  const late = kept.find((i) => all.t[i]! > at(days) - dayMs / 4)!;
  add(
    engine,
    kept.filter((i) => i !== late),
  );
  engine.setBatches(knownAt(at(days)));
  engine.advance(at(days));
  const before = engine.work();
  add(engine, [late]);
  same(engine.advance(at(days)).forecasts, expected);
  // To the last state saved, at most 6 h before, and from there on.
  const touched = (2 * (dayMs / 4)) / stepMs;
  expect(engine.work() - before).toBeLessThanOrEqual(batches.length * (touched + 1));
  expect(engine.work() - before).toBeGreaterThan(0);
});

const inoculation = fc.oneof(
  fc.record({ way: fc.constant('agar-wedges' as const), pieces: fc.integer({ min: 4, max: 60 }) }),
  fc.record({
    way: fc.constant('liquid-culture' as const),
    volumeMl: fc.double({ min: 2, max: 40, noNaN: true }),
  }),
  fc.record({
    way: fc.constant('grain-to-grain' as const),
    partsPerSpawn: fc.double({ min: 4, max: 30, noNaN: true }),
  }),
);
const shareOfTime = fc.double({ min: 0.05, max: 0.95, noNaN: true });

test('share lies in [0, 1] and never falls between a shake and the next look; ready is never before now', () => {
  const check = fc.tuple(
    fc.double({ min: 1, max: 12, noNaN: true }),
    fc.double({ min: 0, max: 1, noNaN: true }),
  );
  fc.assert(
    fc.property(
      inoculation,
      fc.double({ min: 4, max: 45, noNaN: true }),
      check,
      shareOfTime,
      (how, tempC, look, part) => {
        const shaken = 12 * part;
        const engine = engineWith(
          [batchOf({ inoculation: how, checks: [look], shakes: [shaken] })],
          () => tempC,
        );
        let before = 0;
        let stretch = 0;
        for (let day = 0.5; day <= 14; day += 0.75) {
          const { share, ready } = engine.advance(at(day)).forecasts[0]!;
          const band = [share.low, share.likely, share.high];
          expect(Math.min(...band)).toBeGreaterThanOrEqual(0);
          expect(Math.max(...band)).toBeLessThanOrEqual(1);
          expect(band).toEqual([...band].sort((a, b) => a - b));
          const now = (day > look[0] ? 1 : 0) + (day > shaken ? 1 : 0);
          if (now === stretch) expect(share.likely).toBeGreaterThanOrEqual(before - 1e-9);
          before = share.likely;
          stretch = now;
          if (ready.seen || ready.at === null) continue;
          expect(ready.at.earliest).toBeGreaterThanOrEqual(at(day));
          expect(ready.at.likely).toBeGreaterThanOrEqual(ready.at.earliest);
          expect(ready.at.latest).toBeGreaterThanOrEqual(ready.at.likely);
        }
      },
    ),
    { seed, numRuns: 25 },
  );
});

const likely = (options: BatchOptions, tempC: number, now = 3): number => {
  const { ready } = engineWith([batchOf(options)], () => tempC).advance(at(now)).forecasts[0]!;
  return ready.at?.likely ?? Number.POSITIVE_INFINITY;
};

test('warmer below the optimum is sooner', () => {
  // Growth makes heat of its own: the core reaches the optimum before the room does.
  const temp = fc.double({ min: 8, max: 22, noNaN: true });
  fc.assert(
    fc.property(temp, temp, inoculation, (a, b, how) => {
      fc.pre(Math.abs(a - b) > 0.2);
      const [cool, warm] = [Math.min(a, b), Math.max(a, b)];
      const later = likely({ inoculation: how }, cool);
      expect(likely({ inoculation: how }, warm)).toBeLessThanOrEqual(later);
    }),
    { seed, numRuns: 25 },
  );
});

test('more points are sooner', () => {
  const more: [(n: number) => BatchOptions['inoculation'], number, number][] = [
    [(pieces) => ({ way: 'agar-wedges', pieces: Math.round(pieces) }), 4, 80],
    [(volumeMl) => ({ way: 'liquid-culture', volumeMl }), 2, 60],
    [(parts) => ({ way: 'grain-to-grain', partsPerSpawn: 40 / parts }), 1, 20],
  ];
  for (const [how, least, most] of more) {
    let before = Number.POSITIVE_INFINITY;
    for (let n = least; n <= most; n *= 1.5) {
      const ready = likely({ inoculation: how(n)! }, 22);
      expect(ready).toBeLessThan(before);
      before = ready;
    }
  }
});

test('nothing of the future moves an answer', () => {
  const engine = empty();
  add(engine, kept);
  engine.setBatches(knownAt(at(5)));
  const ahead = engine.advance(at(5)).forecasts;
  const cut = empty();
  add(
    cut,
    kept.filter((i) => all.t[i]! < at(5)),
  );
  cut.setBatches(knownAt(at(5)));
  expect(ahead).toEqual(cut.advance(at(5)).forecasts);
  expect(start).toBeLessThan(at(5));
});

test('a restart from means by the minute says what the readings themselves did', () => {
  const raw = empty();
  const t: number[] = [];
  const value: number[] = [];
  for (let minute = 0; minute < 6 * 1440; minute++)
    for (let reading = 0; reading <= minute % 4; reading++) {
      t.push(start + minute * 60_000 + reading * 10_000);
      value.push(air(minute / 1440) + reading / 3);
    }
  raw.addReadings('on-a1.temperature', t, value);
  raw.setBatches(knownAt(at(6)));
  const again = empty();
  const minutes = groupBy([...t.keys()], (i) => Math.floor(t[i]! / 60_000));
  const means = [...minutes.values()].map(
    (list) => list.reduce((sum, i) => sum + value[i]!, 0) / list.length,
  );
  again.addReadings(
    'on-a1.temperature',
    [...minutes.keys()].map((minute) => minute * 60_000),
    means,
    [...minutes.values()].map((list) => list.length),
  );
  again.setBatches(knownAt(at(6)));
  same(again.advance(at(6)).forecasts, raw.advance(at(6)).forecasts);
});
