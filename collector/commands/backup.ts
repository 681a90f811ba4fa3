import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { AppError } from '../../shared/errors.ts';
import { databaseName, defaultDataFolder } from '../data-folder.ts';
import { makeBackup } from '../store/make-backup.ts';
import { type Command, text } from './command.ts';

export const backupCommand: Command = {
  name: 'backup',
  summary: 'copy the database to a file, also while it runs, and check the copy',
  help: `shelfwarden backup [--data FOLDER] FILE

Copies everything that a site has recorded into FILE, also while the site runs, then opens the copy and
checks it. FILE must not exist yet.

  --data FOLDER    the site's data folder (default: the demo's)`,
  options: { data: { type: 'string' } },
  async run(values, [file, ...rest]) {
    if (file === undefined || rest.length > 0)
      throw new AppError(
        'bad-request',
        'backup needs one file to write: shelfwarden backup [--data FOLDER] FILE',
      );
    const folder = text(values, 'data') ?? defaultDataFolder('demo');
    const source = join(folder, databaseName);
    if (!existsSync(source))
      throw new AppError('store', `There is no database at ${source}; name the site's folder with --data.`);
    if (existsSync(file))
      throw new AppError(
        'store',
        `${file} exists already; name a new file, so that no older backup is lost.`,
      );
    const { file: made, bytes, rows } = makeBackup(source, resolve(file));
    console.log(
      `${made}: ${(bytes / 1e6).toFixed(1)} MB, ${rows.reading ?? 0} readings and ` +
        `${rows.bag_event ?? 0} bag events, opened and checked.`,
    );
    return 0;
  },
};
