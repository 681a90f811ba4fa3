import { join } from 'node:path';
import { AppError } from '../../shared/errors.ts';
import { databaseName, defaultDataFolder } from '../data-folder.ts';
import { backUp } from '../store/backup.ts';
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
    const { bytes, readings, bagEvents, file: made } = await backUp(join(folder, databaseName), file);
    console.log(
      `${made}: ${(bytes / 1e6).toFixed(1)} MB, ${readings} readings and ${bagEvents} bag events, opened and checked.`,
    );
    return 0;
  },
};
