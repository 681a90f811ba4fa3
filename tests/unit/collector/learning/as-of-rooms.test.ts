import { afterAll, beforeAll, expect, test } from 'vitest';
import { createNoMailer } from '../../../../alerts/delivery/mailer.ts';
import { createInProcessTransport } from '../../../../collector/intake/in-process-transport.ts';
import { type AsOfAnswer, answerOf, tellAsOf } from '../../../../collector/learning/as-of.ts';
import { migrations } from '../../../../collector/main.ts';
import { createFitBook } from '../../../../collector/rooms/fit-book.ts';
import { openSite, type Site } from '../../../../collector/site.ts';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import type { BagEvent } from '../../../../shared/bags.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { farmFile } from '../../../../shared/farm/schema.ts';
import type { CohortForecast } from '../../../../shared/forecasts.ts';
import { builtInSpecies } from '../../../../shared/growth/species.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { RoomFit } from '../../../../shared/room/room-fit.ts';
import { type EpochMs, hourMs, minuteMs, secondMs } from '../../../../shared/time.ts';
import type { UnloadEvent } from '../../../../shared/unloads.ts';
import { livedFit } from '../../../tools/lived-room.ts';
import { block } from '../../../tools/plan-question.ts';

// A working day, over before the night in which rooms are learned.
const startAt = Date.UTC(2026, 5, 3, 6);
const at = (hours: number): EpochMs => startAt + Math.round((hours * hourMs) / minuteMs) * minuteMs;
const stepMs = 5 * minuteMs;

const farm = buildFarm(
  farmFile.parse({
    site: { id: 'fernhollow', name: 'Fernhollow', timeZone: 'UTC' },
    rooms: [{ id: 'lab', name: 'Lab', racks: [{ id: 'A', shelves: [{ id: 'A1' }] }] }],
    sensors: ['lab', 'outside'].map((place) => ({
      ...{ id: place, topic: place, decoder: 'json' as const, timePointer: '/at', at: place, everyS: 300 },
      channels: [{ quantity: 'temperature' as const, unit: 'degC' as const, pointer: '/c' }],
    })),
    containers: [block],
    strains: [{ id: 'larch-2', name: 'Larch 2', species: 'oyster' }],
  }),
  builtInSpecies,
);
const clock = createManualClock(startAt);
const database = openDatabase({ file: ':memory:', migrations, clock });
const book = createFitBook(database);
/** What was said of each cohort at each instant. */
const said = new Map<EpochMs, Map<string, CohortForecast>>();

const open = (): Site => {
  const site = openSite({
    ...{ kind: 'farm', farm, clock, pace: clock, database, mailer: createNoMailer(), tickMs: hourMs },
    transport: createInProcessTransport({ clock }),
    forecasts: { inThread: false },
    log: (level, text, error) => {
      if (level === 'error') throw new Error(text, { cause: error });
    },
  });
  site.desk.onChange(({ forecasts = [] }) => {
    for (const forecast of forecasts) {
      const here = said.get(forecast.asOf) ?? new Map<string, CohortForecast>();
      said.set(forecast.asOf, here.set(forecast.cohort, structuredClone(forecast)));
    }
  });
  return site;
};

const happenings: { t: EpochMs; what: (site: Site) => void }[] = [];
let happened = 0;
const record = (t: EpochMs, event: object): void => {
  const id = `event-of-the-day-${happenings.length}`;
  happenings.push({ t, what: ({ desk }) => desk.record({ id, t, who: 'Ida', ...event } as BagEvent) });
};
const unload = (t: EpochMs, event: object): void => {
  const id = `load-of-the-day-${happenings.length}`;
  const given = { id, t, who: 'Ida', ...event } as UnloadEvent;
  happenings.push({ t, what: ({ desk }) => desk.unloads.record(given) });
};

/** A sensor outside taught what is usual there, so that it counts how unsure the weather ahead is. */
const fit: RoomFit = { ...livedFit, outside: { ...livedFit.outside, from: 'sensor' } };

/** A warm day in a room that its cooler holds, and a load that it does not. */
async function liveTo(site: Site, until: EpochMs): Promise<void> {
  for (let t = Math.ceil((clock.now() + 1) / stepMs) * stepMs; t <= until; t += stepMs) {
    for (; happenings[happened] !== undefined && happenings[happened]!.t <= t; happened++) {
      clock.advanceTo(happenings[happened]!.t);
      happenings[happened]!.what(site);
    }
    clock.advanceTo(t);
    const hours = (t - startAt) / hourMs;
    const heatK = hours < 1.7 ? 0 : 4 * Math.exp(-(hours - 1.7) / 3);
    const values = { lab: 22.4 + heatK, outside: 24 + 5 * Math.sin(hours / 4) };
    // In the gap shelves go by what is expected.
    const silent = hours > 1.75 && hours < 3.3;
    for (const [topic, c] of Object.entries(values))
      if (topic === 'outside' || !silent)
        site.takeIn([{ topic, t, payload: JSON.stringify({ at: t, c: Number(c.toFixed(2)) }) }]);
    await new Promise((resolve) => setImmediate(resolve));
  }
}

const asOf = (instants: readonly EpochMs[]): Map<EpochMs, AsOfAnswer[]> => {
  const answers = new Map<EpochMs, AsOfAnswer[]>();
  const problems = tellAsOf({ database, farm, finished: () => [] }, instants, (told, t) => {
    answers.set(t, structuredClone(told));
  });
  expect(problems).toEqual([]);
  return answers;
};

let site: Site;
const cart = { container: block.id, count: 150, startC: 95 };
const inLab = { room: 'lab', options: { fan: false, extraCoolingW: 0 } };
beforeAll(async () => {
  book.keep('lab', startAt - hourMs, fit);
  record(at(0.1), {
    ...{ kind: 'made', batch: 'B', strain: 'larch-2', container: block.id, count: 3, generation: 'G1' },
    inoculation: { way: 'agar-wedges', pieces: 12 },
  });
  record(at(0.15), { kind: 'placed', batch: 'B', shelf: 'A1' });
  unload(at(1.7), { kind: 'begun', unload: 'first', ...inLab, load: cart });
  unload(at(1.8), { kind: 'scheduled', unload: 'later', ...inLab, load: cart, at: at(9.5) });
  unload(at(1.95), { kind: 'ended', unload: 'first', because: 'hand' });
  unload(at(3.2), { kind: 'withdrawn', unload: 'later' });
  site = open();
  await site.start();
  await liveTo(site, at(4));
}, 60_000);
afterAll(async () => {
  await site.close();
  database.close();
});

/** At the instant at which something came in, what was said before it and after it is right. */
const told = (): EpochMs[] => {
  const busy = new Set(happenings.map(({ t }) => t));
  return [...said.keys()].filter((t) => !busy.has(t)).sort((a, b) => a - b);
};
const matches = (answers: ReadonlyMap<EpochMs, AsOfAnswer[]>): number => {
  let compared = 0;
  for (const [t, list] of answers)
    for (const forecast of said.get(t)!.values()) {
      expect(list, new Date(t).toISOString()).toContainEqual(answerOf(t, forecast));
      compared++;
    }
  return compared;
};
const likely = (answers: readonly AsOfAnswer[]): number => answers[0]!.ready!.likely;

test('what the site said of a room that it knew, with a load in it and one to come, is told again', () => {
  expect(matches(asOf(told()))).toBeGreaterThan(30);
  // Each instant by itself, in a past that begins there, comes to the same.
  for (const t of told().filter((_, index) => index % 30 === 29)) expect(matches(asOf([t]))).toBe(1);
  const rows = database.prepare('SELECT * FROM air_told').all() as { seq: number; room: string | null }[];
  expect(rows.filter(({ room }) => room === null).length).toBeGreaterThan(1);
  // And it is not what the usual day alone would have said.
  const t = told().find((one) => one > at(1.9))!;
  const known = likely(asOf([t]).get(t)!);
  database.exec('DELETE FROM air_told');
  expect(Math.abs(likely(asOf([t]).get(t)!) - known)).toBeGreaterThan(5 * minuteMs);
  const put = database.prepare('INSERT INTO air_told VALUES (@seq, @told_at, @room, @body)');
  for (const row of rows) put.run(row);
  expect(likely(asOf([t]).get(t)!)).toBe(known);
});

test('a fit, a load and what they led to a second later change nothing that was said before', async () => {
  const t = told().at(-1)!;
  const before = asOf([t]).get(t)!;
  const later = Math.max(clock.now(), t) + secondMs;
  book.keep('lab', later, { ...fit, residual: { sdK: 0.3, lastsS: 7_200 } });
  unload(later, { kind: 'begun', unload: 'second', ...inLab, load: { ...cart, count: 200 } });
  await liveTo(site, later + 0.3 * hourMs);
  const answers = asOf(told());
  expect(answers.get(t)).toEqual(before);
  matches(answers);
  const end = told().at(-1)!;
  expect(likely(answers.get(end)!)).not.toBe(likely(before));
});

test('after a restart the site says what it would have said', async () => {
  await site.close();
  site = open();
  await site.start();
  const [restarted] = site.desk.live().forecasts;
  const [answer] = asOf([clock.now()]).get(clock.now())!;
  // From means by the minute: the same but for rounding.
  expect(Math.abs(restarted!.ready.at!.likely - answer!.ready!.likely)).toBeLessThan(secondMs);
  expect(restarted!.coreTempC).toBeCloseTo(answer!.coreTempC, 6);
});
