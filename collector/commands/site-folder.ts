import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import { databaseName, defaultDataFolder, openDataFolder } from '../data-folder.ts';
import { fernhollowYaml } from '../demo.ts';
import { loadFarmFile } from '../farm/load.ts';
import { problemsText } from '../farm/problems.ts';
import type { Progress } from '../import/progress.ts';
import { learnPast } from '../learning/learn-past.ts';
import { createLedger } from '../learning/ledger.ts';
import { migrations } from '../main.ts';
import { type Database, openDatabase } from '../store/open-database.ts';
import { systemClock } from '../system-clock.ts';
import { readFarmFile } from './check.ts';
import { type OptionValues, text } from './command.ts';

/** Options of every command that works on what a site has recorded. */
export const siteOptions = { farm: { type: 'string' }, data: { type: 'string' } } as const;

export const siteOptionsHelp = `  --farm FILE      the farm file (default: the demo farm)
  --data FOLDER    the site's data folder (default: shelfwarden/<site> in the user's data folder)`;

function demoFarm(): Farm {
  const load = loadFarmFile(fernhollowYaml, 'fernhollow.yaml', builtInSpecies);
  if (!load.ok) throw new AppError('farm-file', problemsText(load.problems));
  return load.farm;
}

interface SiteFolder {
  farm: Farm;
  folder: string;
  file: string;
}

/** The farm and the data folder that a command's options name. Throws AppError 'farm-file' or 'store'. */
export function siteFolder(values: OptionValues): SiteFolder {
  const farmPath = text(values, 'farm');
  const farm = farmPath === undefined ? demoFarm() : readFarmFile(farmPath).farm;
  const fallback = defaultDataFolder(farmPath === undefined ? 'demo' : farm.file.site.id);
  const folder = openDataFolder(text(values, 'data') ?? fallback);
  return { farm, folder, file: join(folder, databaseName) };
}

const openToWrite = ({ farm, file }: SiteFolder): Database => {
  const { synchronous } = farm.file.store;
  return openDatabase({ file, synchronous, migrations, clock: systemClock });
};

/**
 * The farm and the database that a command's options name, claimed for this process.
 *
 * @throws AppError 'conflict' while a running site holds the database; 'farm-file' or 'store' otherwise.
 */
export function openSiteFolder(values: OptionValues): { farm: Farm; folder: string; database: Database } {
  const site = siteFolder(values);
  return { ...site, database: openToWrite(site) };
}

/** Learns from finished batches that the database does not hold the lessons of yet, and puts them down. */
function learnInto(database: Database, farm: Farm, progress: Progress): number {
  const ledger = createLedger(database);
  const { stale, fresh, kept } = learnPast({
    database,
    farm,
    finished: ledger.finished(),
    now: systemClock.now(),
    onShare: (share) => progress.at(() => `learning from finished batches: ${Math.floor(share * 100)} %`),
  });
  ledger.withdraw(stale);
  ledger.finish(fresh);
  ledger.keep(kept);
  progress.end();
  return fresh.length;
}

/**
 * The farm and the database for asking what was forecast and how well. What finished batches have to teach is
 * learned first where it is lacking; while a running site holds the database, which learns by itself, it is
 * only read.
 */
export function openLearned(values: OptionValues, progress: Progress): { farm: Farm; database: Database } {
  const site = siteFolder(values);
  const { farm, file } = site;
  if (!existsSync(file))
    throw new AppError('store', `There is no database at ${file}; name the site's folder with --data.`);
  let database: Database;
  try {
    database = openToWrite(site);
  } catch (thrown) {
    if (!(thrown instanceof AppError && thrown.code === 'conflict')) throw thrown;
    return { farm, database: openDatabase({ file, migrations, clock: systemClock, readonly: true }) };
  }
  learnInto(database, farm, progress);
  return { farm, database };
}
