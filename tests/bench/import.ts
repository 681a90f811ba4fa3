import { once } from 'node:events';
import { createWriteStream, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { importEvents } from '../../collector/import/import-events.ts';
import { importReadings } from '../../collector/import/import-readings.ts';
import { createProgress } from '../../collector/import/progress.ts';
import { layoutOf } from '../../collector/import/reading-options.ts';
import { tellAsOf } from '../../collector/learning/as-of.ts';
import { learnPast } from '../../collector/learning/learn-past.ts';
import { createLedger } from '../../collector/learning/ledger.ts';
import { migrations } from '../../collector/main.ts';
import { openDatabase } from '../../collector/store/open-database.ts';
import type { BagEvent } from '../../shared/bags.ts';
import { buildFarm } from '../../shared/farm/farm.ts';
import { farmFile } from '../../shared/farm/schema.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import { createManualClock } from '../../shared/manual-clock.ts';
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts';
import type { Figure } from './figure.ts';

const days = 90;
const batches = 300;
const readings = 2_000_000;
const instants = 500;
const from = Date.UTC(2026, 5, 1);

const racks = ['A', 'B', 'C', 'D'];
const shelves = racks.flatMap((rack) => [1, 2, 3, 4].map((level) => `${rack}${level}`));
const strains = ['oyster', 'reishi', 'lions-mane', 'king-trumpet', 'shiitake', 'elm-oyster'];

const farm = buildFarm(
  farmFile.parse({
    site: { id: 'bench', name: 'Bench', timeZone: 'Europe/Berlin' },
    rooms: [
      {
        id: 'warm',
        name: 'Warm room',
        racks: racks.map((id) => ({
          id,
          shelves: shelves.filter((shelf) => shelf.startsWith(id)).map((shelf) => ({ id: shelf })),
        })),
      },
    ],
    sensors: shelves.map((shelf) => ({
      id: `on-${shelf.toLowerCase()}`,
      topic: `bench/${shelf}`,
      decoder: 'plain',
      at: shelf,
      channels: [{ quantity: 'temperature', unit: 'degC' }],
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
    strains: strains.map((species) => ({ id: `${species}-1`, name: species, species })),
  }),
  builtInSpecies,
);

/** Air of a room with a day's course, another on each shelf, and weeks that differ. */
const airC = (shelf: number, t: number): number =>
  23.5 + 1.2 * Math.sin((2 * Math.PI * t) / dayMs) + 0.15 * shelf + 0.8 * Math.sin(t / (11 * dayMs) + shelf);

async function writeReadings(path: string): Promise<void> {
  const file = createWriteStream(path);
  file.write('time,sensor,celsius\n');
  const each = readings / shelves.length;
  const spacing = (days * dayMs) / each;
  for (let at = 0; at < each; at++) {
    const t = Math.floor(from + at * spacing);
    const when = new Date(t).toISOString();
    const lines = shelves.map(
      (shelf, index) => `${when},on-${shelf.toLowerCase()},${airC(index, t).toFixed(2)}\n`,
    );
    if (!file.write(lines.join(''))) await once(file, 'drain');
  }
  file.end();
  await once(file, 'finish');
}

/** Batches as people keep them: looked at every other day, mostly shaken, used a few days after they are full. */
function eventsOf(index: number): BagEvent[] {
  const batch = `B-${String(index).padStart(3, '0')}`;
  const madeAt = Math.floor(from + hourMs * 9 + (index * (days - 20) * dayMs) / batches);
  const species = index % strains.length;
  const fullDays = 9 + species + (index % 5) * 0.6;
  let count = 0;
  const event = (kind: string, atDays: number, more: object): BagEvent =>
    ({
      id: `${batch}-event-${++count}`,
      t: Math.round(madeAt + atDays * dayMs),
      who: index % 2 === 0 ? 'Ida' : 'Oskar',
      batch,
      kind,
      ...more,
    }) as BagEvent;
  const inoculation =
    index % 3 === 0
      ? { way: 'grain-to-grain', partsPerSpawn: 10 }
      : index % 3 === 1
        ? { way: 'agar-wedges', pieces: 12 }
        : { way: 'liquid-culture', volumeMl: 10 };
  const making = {
    strain: `${strains[species]}-1`,
    container: 'bag',
    count: 3,
    generation: 'G1',
    inoculation,
  };
  const looks: BagEvent[] = [];
  for (let atDays = 3; atDays < fullDays; atDays += 2)
    looks.push(
      event('checked', atDays, { share: Math.min(0.95, Math.round(20 * (atDays / fullDays) ** 3) / 20) }),
    );
  return [
    event('made', 0, making),
    event('placed', 0.01, { shelf: shelves[index % shelves.length] }),
    ...looks,
    event('shaken', 5.01, {}),
    event('checked', fullDays, { share: 1 }),
    event('used', fullDays + 2, {}),
  ];
}

/** Seconds of a core: what else a machine does at the time says nothing of this work. */
const secondsOf = async (work: () => unknown): Promise<number> => {
  const start = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1e6;
};

const figure = (name: string, value: number, goal: number | null): Figure => ({
  name,
  value,
  unit: 's of a core',
  baseline: null,
  ratio: null,
  goal: goal === null ? null : `<= ${goal}`,
  holds: goal === null ? null : value <= goal,
});

/** A farm's history of 90 days read in, learned from, and asked about at 500 instants. */
export async function run(): Promise<Figure[]> {
  const folder = mkdtempSync(join(tmpdir(), 'shelfwarden-bench-'));
  try {
    const csv = join(folder, 'readings.csv');
    const jsonl = join(folder, 'events.jsonl');
    await writeReadings(csv);
    const events = Array.from({ length: batches }, (_, index) => eventsOf(index)).flat();
    writeFileSync(jsonl, events.map((event) => `${JSON.stringify(event)}\n`).join(''));

    const clock = createManualClock(from + days * dayMs + hourMs);
    const database = openDatabase({ file: join(folder, 'site.db'), migrations, clock });
    const progress = createProgress({ write: () => true }, clock);
    const parts = { database, farm, clock, progress };
    const layout = layoutOf({ by: 'sensor', value: ['celsius'] }, 'UTC');
    const expect = (count: number, wanted: number, what: string) => {
      if (count !== wanted) throw new Error(`${count} of ${wanted} ${what}`);
    };
    const importing = await secondsOf(async () => {
      expect((await importReadings(csv, { ...parts, layout })).added, readings, 'readings came in');
      expect((await importEvents(jsonl, parts)).added, events.length, 'events came in');
    });

    const ledger = createLedger(database);
    const learning = await secondsOf(() => {
      const { fresh } = learnPast({ database, farm, finished: [], now: clock.now() });
      expect(fresh.length, batches, 'batches were put down');
      ledger.finish(fresh);
    });

    const finished = ledger.finished();
    const times = Array.from(
      { length: instants },
      (_, index) => Math.floor((from + ((index + 0.5) * days * dayMs) / instants) / minuteMs) * minuteMs,
    );
    let answers = 0;
    const asking = await secondsOf(() => {
      const problems = tellAsOf(
        { database, farm, finished: (t) => finished.filter(({ knownAt }) => knownAt <= t) },
        times,
        (told) => {
          answers += told.length;
        },
      );
      expect(problems.length, 0, 'problems');
    });
    database.close();
    if (answers < 5 * instants) throw new Error(`only ${answers} answers`);
    return [
      figure(`${readings} readings and ${events.length} events of ${batches} batches read in`, importing, 60),
      figure(`learning from ${batches} finished batches of ${days} days`, learning, null),
      figure(`${instants} instants asked about in one pass, ${answers} answers`, asking, 120),
    ];
  } finally {
    rmSync(folder, { recursive: true });
  }
}
