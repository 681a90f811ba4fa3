import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { AppError } from '../shared/errors.ts';
import type { Farm } from '../shared/farm/farm.ts';
import { builtInSpecies } from '../shared/growth/species.ts';
import { loadFarmFile } from './farm/load.ts';
import { problemsText } from './farm/problems.ts';

const fileName = 'fernhollow.yaml';

/** The demo's farm file as it is made, under a line that tells one edition of it from the next. */
function madeFrom(yaml: string): string {
  const edition = createHash('sha256').update(yaml).digest('hex').slice(0, 12);
  return `# The demo's farm, edition ${edition}. Limits may be changed here or on the screens.\n${yaml}`;
}

/**
 * The demo's farm in a file of its own, so that limits can be tried and kept there as on any farm. A demo that
 * begins anew, and one of another edition, gets the file anew.
 */
export function openDemoFarmFile(
  folder: string,
  yaml: string,
  isNew: boolean,
): { path: string; text: string; farm: Farm } {
  const path = join(folder, fileName);
  const made = madeFrom(yaml);
  const [firstLine] = made.split('\n', 1);
  const kept = !isNew && existsSync(path) ? readFileSync(path, 'utf8') : undefined;
  if (kept?.startsWith(firstLine!)) {
    const load = loadFarmFile(kept, fileName, builtInSpecies);
    if (load.ok) return { path, text: kept, farm: load.farm };
  }
  const load = loadFarmFile(made, fileName, builtInSpecies);
  if (!load.ok) throw new AppError('farm-file', problemsText(load.problems));
  writeFileSync(path, made, { mode: 0o600 });
  return { path, text: made, farm: load.farm };
}
