import { join } from 'node:path';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import { databaseName, defaultDataFolder, openDataFolder } from '../data-folder.ts';
import { fernhollowYaml } from '../demo.ts';
import { loadFarmFile } from '../farm/load.ts';
import { problemsText } from '../farm/problems.ts';
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

/**
 * The farm and the database that a command's options name, claimed for this process.
 *
 * @throws AppError 'conflict' while a running site holds the database; 'farm-file' or 'store' otherwise.
 */
export function openSiteFolder(values: OptionValues): { farm: Farm; folder: string; database: Database } {
  const farmPath = text(values, 'farm');
  const farm = farmPath === undefined ? demoFarm() : readFarmFile(farmPath).farm;
  const fallback = defaultDataFolder(farmPath === undefined ? 'demo' : farm.file.site.id);
  const folder = openDataFolder(text(values, 'data') ?? fallback);
  const { synchronous } = farm.file.store;
  const database = openDatabase({
    file: join(folder, databaseName),
    synchronous,
    migrations,
    clock: systemClock,
  });
  return { farm, folder, database };
}
