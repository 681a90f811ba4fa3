import { watch } from 'node:fs';
import { readFile, stat } from 'node:fs/promises';
import { basename, dirname } from 'node:path';
import { messageOf } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Species } from '../../shared/farm/schema.ts';
import type { Cancel, Clock } from '../../shared/time.ts';
import { loadFarmFile } from './load.ts';
import { problemsText } from './problems.ts';

/** Editors write in several steps; the file is read once they have been still this long. */
const settleMs = 250;
/** Network and container mounts send no events, so the file is looked at as well. */
const lookEveryMs = 5_000;

export interface FarmWatchOptions {
  path: string;
  /** The text that the running farm was loaded from. */
  text: string;
  clock: Clock;
  builtInSpecies: readonly Species[];
  /** Takes the new farm over; may throw to refuse it, then the last good one keeps running. */
  onFarm: (farm: Farm, text: string) => void;
  /** What to show on the screens; undefined once the file is good again. */
  onNotice: (text: string | undefined) => void;
}

/**
 * Follows the farm file. The folder is watched rather than the file, since many editors write a new
 * file and rename it over the old one.
 */
export function watchFarmFile(options: FarmWatchOptions): { stop: Cancel } {
  const { path, clock } = options;
  const name = basename(path);
  let applied = options.text;
  let lastRead: string | undefined = options.text;
  let stamp: string | undefined;
  let cancelSettle: Cancel = () => {};
  let reading = 0;
  let stopped = false;

  const refuse = (why: string) =>
    options.onNotice(`${name} was not taken over, the farm as it was keeps running:\n${why}`);

  const take = (text: string) => {
    if (text === lastRead) return;
    lastRead = text;
    if (text === applied) return options.onNotice(undefined);
    const load = loadFarmFile(text, name, options.builtInSpecies);
    if (!load.ok) return refuse(problemsText(load.problems));
    try {
      options.onFarm(load.farm, text);
      applied = text;
      options.onNotice(undefined);
    } catch (thrown) {
      refuse(messageOf(thrown));
    }
  };

  const read = async () => {
    const turn = ++reading;
    const text = await readFile(path, 'utf8').catch((error: NodeJS.ErrnoException) => error);
    if (stopped || turn !== reading) return;
    if (typeof text === 'string') return take(text);
    if (lastRead === undefined) return;
    lastRead = undefined;
    const gone =
      text.code === 'ENOENT' ? 'it is not there any more; put it back' : `it cannot be read: ${text.message}`;
    refuse(gone);
  };

  const settle = () => {
    cancelSettle();
    cancelSettle = clock.after(settleMs, () => void read());
  };

  const look = async () => {
    const found = await stat(path).catch(() => undefined);
    const seen = found === undefined ? 'gone' : `${found.mtimeMs} ${found.size} ${found.ino}`;
    if (stamp !== undefined && seen !== stamp) settle();
    stamp = seen;
  };

  const stopEvents = folderEvents(dirname(path), (changed) => {
    if (changed === null || changed === name) settle();
  });
  settle();
  void look();
  const cancelLook = clock.every(lookEveryMs, () => void look());

  return {
    stop() {
      stopped = true;
      stopEvents();
      cancelSettle();
      cancelLook();
    },
  };
}

/** Events of a folder where the system gives them; looking at the file stands in where it does not. */
function folderEvents(folder: string, onEvent: (name: string | null) => void): Cancel {
  try {
    const watcher = watch(folder, { persistent: false }, (_, name) => onEvent(name));
    watcher.on('error', () => watcher.close());
    return () => watcher.close();
  } catch {
    return () => {};
  }
}
