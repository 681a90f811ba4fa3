import { expect, test } from 'vitest';
import { createNoMailer } from '../../../../alerts/delivery/mailer.ts';
import { createInProcessTransport } from '../../../../collector/intake/in-process-transport.ts';
import { answerOf, tellAsOf } from '../../../../collector/learning/as-of.ts';
import { createLedger } from '../../../../collector/learning/ledger.ts';
import { migrations } from '../../../../collector/main.ts';
import { openSite } from '../../../../collector/site.ts';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import type { BagEvent } from '../../../../shared/bags.ts';
import { buildFarm } from '../../../../shared/farm/farm.ts';
import { farmFile } from '../../../../shared/farm/schema.ts';
import type { CohortForecast } from '../../../../shared/forecasts.ts';
import { builtInSpecies } from '../../../../shared/growth/species.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';

const startAt = Date.UTC(2026, 2, 2, 6);
const at = (days: number): number => startAt + Math.round((days * dayMs) / minuteMs) * minuteMs;
const days = 3.7;
const stepMs = 10 * minuteMs;

const farm = buildFarm(
  farmFile.parse({
    site: { id: 'fernhollow', name: 'Fernhollow', timeZone: 'Europe/Berlin' },
    rooms: [{ id: 'warm', name: 'Warm room', racks: [{ id: 'A', shelves: [{ id: 'A1' }, { id: 'A2' }] }] }],
    sensors: ['A1', 'warm'].map((place) => ({
      id: `on-${place.toLowerCase()}`,
      topic: `t/${place}`,
      decoder: 'json' as const,
      timePointer: '/at',
      at: place,
      everyS: 600,
      channels: [{ quantity: 'temperature' as const, unit: 'degC' as const, pointer: '/c' }],
    })),
    containers: [
      {
        id: 'bag',
        name: '3.5 L bag',
        kind: 'bag',
        shape: { form: 'brick', widthM: 0.2, depthM: 0.13, heightM: 0.2 },
        massKg: 2.6,
        volumeL: 3.5,
      },
    ],
    strains: [{ id: 'larch-2', name: 'Larch 2', species: 'oyster' }],
  }),
  builtInSpecies,
);

/** What happened, and when it was recorded: some of it hours later. */
const told: { recorded: number; event: BagEvent }[] = [];
function tell(
  recordedDay: number,
  kind: BagEvent['kind'],
  batch: string,
  more: object,
  atDay = recordedDay,
): void {
  const id = `${batch}-event-${told.length}`;
  told.push({
    recorded: at(recordedDay),
    event: { id, t: at(atDay), who: 'Ida', batch, kind, ...more } as BagEvent,
  });
}
const make = (batch: string, day: number, inoculation: object): void => {
  tell(day, 'made', batch, { strain: 'larch-2', container: 'bag', count: 3, generation: 'G1', inoculation });
  tell(day + 0.01, 'placed', batch, { shelf: batch === 'B' ? 'A2' : 'A1' });
};
make('A', 0.1, { way: 'grain-to-grain', partsPerSpawn: 10 });
make('B', 0.6, { way: 'agar-wedges', pieces: 12 });
tell(1.2, 'checked', 'A', { share: 0.3 });
make('C', 1.6, { way: 'grain-to-grain', partsPerSpawn: 10 });
tell(1.8, 'moved', 'B', { bags: [1], shelf: 'A1' });
tell(2.2, 'checked', 'A', { share: 0.8 }, 2);
tell(2.6, 'checked', 'A', { share: 1 }, 2.5);
tell(2.9, 'checked', 'B', { share: 0.05 });
tell(3.01, 'shaken', 'B', {}, 3.005);
tell(3.2, 'used', 'A', {});
tell(3.4, 'checked', 'C', { share: 0.2 }, 3.3);
told.sort((a, b) => a.recorded - b.recorded);

const airC = (place: string, t: number): number =>
  23 +
  (place === 'A1' ? 0.6 : 0) +
  1.5 * Math.sin((2 * Math.PI * t) / dayMs) +
  0.3 * Math.sin(t / (3 * hourMs));

test('what is asked as of an instant is what the running site said then, to the last digit', async () => {
  const clock = createManualClock(startAt);
  const database = openDatabase({ file: ':memory:', migrations, clock });
  const open = () =>
    openSite({
      kind: 'farm',
      farm,
      clock,
      pace: clock,
      transport: createInProcessTransport({ clock }),
      database,
      mailer: createNoMailer(),
      forecasts: { inThread: false },
      tickMs: hourMs,
      log: (level, text, error) => {
        if (level === 'error') throw new Error(text, { cause: error });
      },
    });
  const site = open();
  await site.start();
  // What was forecast at each instant at which anything was forecast anew.
  const said = new Map<number, Map<string, CohortForecast>>();
  site.desk.onChange(({ forecasts = [] }) => {
    for (const forecast of forecasts) {
      const here = said.get(forecast.asOf) ?? new Map<string, CohortForecast>();
      here.set(forecast.cohort, structuredClone(forecast));
      said.set(forecast.asOf, here);
    }
  });

  let reading = 0;
  const late: Parameters<typeof site.takeIn>[0][number][] = [];
  const cameInAt = new Set<number>();
  let next = 0;
  for (let t = startAt; t <= at(days); t += stepMs) {
    while (next < told.length && told[next]!.recorded <= t) {
      clock.advanceTo(told[next]!.recorded);
      site.desk.record(told[next]!.event);
      next++;
    }
    clock.advanceTo(t);
    for (const place of ['A1', 'warm']) {
      // Now and then a reading comes 45 min late, and some come just after the 5 min that they were taken in.
      const tardy = reading % 23 === 0 ? 45 * minuteMs : reading % 5 === 0 ? 70_000 : 0;
      const taken = t - (tardy > 0 ? 20_000 : 0);
      const payload = JSON.stringify({ at: taken, c: Number(airC(place, t).toFixed(2)) });
      const message = { topic: `t/${place}`, payload, t: t + tardy };
      if (tardy > stepMs) late.push(message);
      else if (tardy > 0) {
        clock.advanceTo(t + tardy);
        site.takeIn([message]);
      } else site.takeIn([message]);
      reading++;
    }
    const due = late.filter((message) => message.t <= t);
    if (due.length > 0) cameInAt.add(clock.now());
    if (due.length > 0) site.takeIn(due.map((message) => ({ ...message, t: clock.now() })));
    late.splice(0, late.length, ...late.filter((message) => message.t > t));
    // What finished batches taught is put down between two steps.
    await new Promise((resolve) => setImmediate(resolve));
  }
  const finished = createLedger(database).finished();
  expect(finished.map(({ batch }) => batch)).toEqual(['A']);
  expect(finished[0]!.traits).not.toBeNull();
  await site.close();

  // At the very instant at which something came in, both what was said before it and after it is right.
  for (const { recorded } of told) cameInAt.add(recorded);
  const instants = [...said.keys()].filter((t, index) => index % 16 === 0 && !cameInAt.has(t));
  expect(instants.length).toBeGreaterThan(40);
  let compared = 0;
  const problems = tellAsOf(
    { database, farm, finished: (t) => finished.filter(({ knownAt }) => knownAt <= t) },
    instants,
    (answers, t) => {
      for (const forecast of said.get(t)!.values()) {
        const answer = answers.find(({ id, bags }) => id === forecast.batch && bags[0] === forecast.bags[0]);
        expect(answer, `${forecast.cohort} as of ${new Date(t).toISOString()}`).toEqual(
          answerOf(t, forecast),
        );
        compared++;
      }
    },
  );
  expect(problems).toEqual([]);
  expect(compared).toBeGreaterThan(60);

  // A restart says what the site before it would have said, had it run on.
  const again = open();
  await again.start();
  const restarted = again.desk.live().forecasts;
  tellAsOf(
    { database, farm, finished: (t) => finished.filter(({ knownAt }) => knownAt <= t) },
    [clock.now()],
    (answers, t) => {
      const known = restarted.map((forecast) => answerOf(t, forecast));
      expect(known.map(({ id, bags }) => [id, bags])).toEqual(answers.map(({ id, bags }) => [id, bags]));
      for (const [index, answer] of answers.entries()) {
        const { ready, share, coreTempC } = known[index]!;
        // From means by the minute: the same but for rounding.
        expect(Math.abs(ready!.likely - answer.ready!.likely)).toBeLessThan(1000);
        expect(share.likely).toBeCloseTo(answer.share.likely, 8);
        expect(coreTempC).toBeCloseTo(answer.coreTempC, 6);
      }
    },
  );
  await again.close();
  database.close();
}, 180_000);
