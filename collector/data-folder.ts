import { accessSync, constants } from 'node:fs';
import { homedir } from 'node:os';
import { join, resolve } from 'node:path';
import { AppError, messageOf } from '../shared/errors.ts';
import { makeFolder } from './store/open-database.ts';

export const databaseName = 'shelfwarden.db';

/** Where a site keeps its data unless told otherwise, after the XDG Base Directory Specification. */
export function defaultDataFolder(siteId: string, environment: NodeJS.ProcessEnv = process.env): string {
  const xdg = environment.XDG_DATA_HOME;
  // The specification wants relative paths ignored.
  const base = xdg?.startsWith('/') ? xdg : join(homedir(), '.local', 'share');
  return join(base, 'shelfwarden', siteId);
}

/** Makes the folder, readable by its owner only, and proves that it can be written. Throws AppError 'store'. */
export function openDataFolder(folder: string): string {
  const path = resolve(folder);
  try {
    makeFolder(path);
    accessSync(path, constants.W_OK);
  } catch (thrown) {
    throw new AppError(
      'store',
      `The data folder ${path} cannot be written (${messageOf(thrown)}). Give this user write access, or choose another with --data.`,
      { cause: thrown },
    );
  }
  return path;
}
