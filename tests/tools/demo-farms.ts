import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Database } from 'better-sqlite3';
import { openDemo } from '../../collector/demo.ts';
import { loadFarmFile } from '../../collector/farm/load.ts';
import { problemsText } from '../../collector/farm/problems.ts';
import { migrations } from '../../collector/main.ts';
import { openDatabase } from '../../collector/store/open-database.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import { createManualClock } from '../../shared/manual-clock.ts';

/** Where the histories of demo farms end: any day, the same for all. */
export const demoNow = Date.UTC(2026, 9, 12, 5);

/** A farm like Fernhollow whose strains, rooms and people were drawn with another seed, with its weeks of history. */
export async function demoFarm(seed: number, folder: string): Promise<{ farm: Farm; database: Database }> {
  mkdirSync(folder, { recursive: true });
  const log = (level: string, text: string, error?: unknown): void => {
    if (level === 'error') throw new Error(text, { cause: error });
  };
  const demo = openDemo({ snapshotPath: join(folder, 'demo.json'), now: demoNow, log, seed });
  const loaded = loadFarmFile(demo.farmYaml, 'farm.yaml', builtInSpecies);
  if (!loaded.ok) throw new Error(problemsText(loaded.problems));
  const clock = createManualClock(demoNow);
  const database = openDatabase({ file: join(folder, 'site.db'), migrations, clock });
  if (demo.isNew) await demo.makeHistory(loaded.farm, database);
  return { farm: loaded.farm, database };
}
