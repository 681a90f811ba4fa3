import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { createNoMailer } from '../../../alerts/delivery/mailer.ts';
import { loadFarmFile } from '../../../collector/farm/load.ts';
import { createInProcessTransport } from '../../../collector/intake/in-process-transport.ts';
import { migrations } from '../../../collector/main.ts';
import { openSite } from '../../../collector/site.ts';
import { openDatabase } from '../../../collector/store/open-database.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import { createTrainingDesk } from '../../../collector/training.ts';
import { AppError } from '../../../shared/errors.ts';
import { builtInSpecies } from '../../../shared/growth/species.ts';
import { fernhollowFarmYaml } from '../../../simulator/scenarios/fernhollow-farm.ts';

let folder: string;
const closers: (() => unknown)[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'shelfwarden-training-'));
});
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
  rmSync(folder, { recursive: true, force: true });
});

const log = () => {};

/** A live site with its own database, and what has ever gone through its broker. */
async function openFarmSite() {
  const load = loadFarmFile(fernhollowFarmYaml, 'fernhollow.yaml', builtInSpecies);
  if (!load.ok) throw new AppError('farm-file', 'the demo farm is not good');
  const database = openDatabase({ file: join(folder, 'live.db'), migrations, clock: systemClock });
  const transport = createInProcessTransport({ clock: systemClock });
  const published: string[] = [];
  transport.onPublish((topic) => published.push(topic));
  const site = openSite({
    kind: 'farm',
    farm: load.farm,
    clock: systemClock,
    pace: systemClock,
    transport,
    database,
    mailer: createNoMailer(),
    forecasts: null,
    log,
  });
  closers.push(
    () => database.close(),
    () => site.close(),
  );
  await site.start();
  return { site, transport, database, published };
}

function fingerprint(database: Awaited<ReturnType<typeof openFarmSite>>['database']): string {
  const tables = database
    .prepare<[], string>(
      // The farm's own watch goes on meanwhile: when it last looked is written down.
      "SELECT name FROM sqlite_master WHERE type = 'table' AND name <> 'alarm_watched' ORDER BY name",
    )
    .pluck()
    .all();
  const hash = createHash('sha256');
  for (const table of tables)
    hash.update(JSON.stringify([table, database.prepare(`SELECT * FROM "${table}"`).all()]));
  return hash.digest('hex');
}

test('a run at 500 times beside the farm leaves its database, outbox and broker as they were; it can be held and slowed', async () => {
  const farm = await openFarmSite();
  farm.transport.deliver('nobody/placed/this', '1');
  const before = fingerprint(farm.database);
  const liveBefore = JSON.stringify(farm.site.desk.live().channels);

  const training = createTrainingDesk({ pace: systemClock, migrations, log });
  closers.push(() => training.stop());
  await training.start('cooling-fails-at-night', 500);
  const run = training.site()!;
  const startedAt = run.live().now;
  await new Promise<void>((passed) => {
    const cancel = systemClock.every(50, () => {
      if (run.live().now - startedAt < 20 * 60_000) return;
      cancel();
      passed();
    });
    closers.push(cancel);
  });

  const { kind, channels, batches, run: state } = run.live();
  expect(kind).toBe('training');
  expect(state?.speed).toBe(500);
  expect(Object.values(channels).length).toBeGreaterThan(10);
  expect(batches.length).toBeGreaterThan(5);
  // The week begins with rooms that the days before it taught, and so does what is foreseen in them.
  for (const room of ['warm', 'cool']) {
    const { days, learnedAt } = run.unloads.room(room);
    expect(days).toBeGreaterThan(5);
    expect(learnedAt).toBe(state!.startedAt);
  }
  expect(fingerprint(farm.database)).toBe(before);
  expect(JSON.stringify(farm.site.desk.live().channels)).toBe(liveBefore);
  expect(farm.published).toEqual([]);
  expect(farm.site.desk.found().topics.map(({ topic }) => topic)).toEqual(['nobody/placed/this']);

  training.setPaused(true);
  const standing = run.live().now;
  training.setSpeed(300);
  expect(run.live().run).toMatchObject({ week: 'cooling-fails-at-night', paused: true, speed: 300 });
  await new Promise<void>((passed) => void systemClock.after(100, passed));
  expect(run.live().now).toBe(standing);
  await training.stop();
  expect(training.site()).toBeUndefined();
});

test('without a run there is nothing to hold; a wrong week or speed is refused with the right ones', async () => {
  const training = createTrainingDesk({ pace: systemClock, migrations, log });
  expect(() => training.setPaused(true)).toThrow(/No training run is open/);
  await expect(training.start('no-such-week', 10)).rejects.toThrow(/quiet, cooling-fails-at-night/);
  await expect(training.start('quiet', 9_999)).rejects.toThrow(/choose 1 to 500/);
});
