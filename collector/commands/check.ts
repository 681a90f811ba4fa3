import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { AppError, messageOf } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { builtInSpecies } from '../../shared/growth/species.ts';
import { loadFarmFile } from '../farm/load.ts';
import { problemsText } from '../farm/problems.ts';
import type { Command } from './command.ts';

/** Reads and checks a farm file. Throws AppError 'farm-file' that lists every problem. */
export function readFarmFile(path: string): { farm: Farm; text: string } {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (thrown) {
    throw new AppError(
      'farm-file',
      `The farm file ${path} cannot be read (${messageOf(thrown)}). Name an existing file with --farm.`,
      { cause: thrown },
    );
  }
  const load = loadFarmFile(text, basename(path), builtInSpecies);
  if (!load.ok) throw new AppError('farm-file', problemsText(load.problems));
  return { farm: load.farm, text };
}

export const checkCommand: Command = {
  name: 'check',
  summary: 'read a farm file and list every problem in it',
  help: `shelfwarden check FARM.yaml

Reads the farm file and lists every problem at once as file:line:column, what was found, what is wanted
and how to mend it. Changes nothing. Exits 0 when the file is good, 1 otherwise.`,
  options: {},
  async run(_, [path, ...rest]) {
    if (path === undefined || rest.length > 0)
      throw new AppError('bad-request', 'check needs one farm file: shelfwarden check FARM.yaml');
    const { farm } = readFarmFile(path);
    const { file, shelves, channels, strains } = farm;
    console.log(
      `${path} is good: ${file.site.name}, ${file.rooms.length} rooms, ${shelves.size} shelves, ` +
        `${file.sensors.length} sensors with ${channels.size} channels, ${strains.size} strains.`,
    );
    return 0;
  },
};
