import type { Database } from 'better-sqlite3';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Reading } from '../../shared/readings.ts';
import type { Clock, EpochMs } from '../../shared/time.ts';
import { createReadingsLog } from '../store/readings-log.ts';
import { cellsOf, delimiterOf } from './cells.ts';
import { readLines } from './lines.ts';
import type { Progress } from './progress.ts';
import { createReadLine, type ReadingsLayout, type ReadLine } from './reading-lines.ts';

export interface ReadingsImport {
  database: Database;
  farm: Farm;
  clock: Pick<Clock, 'now'>;
  progress: Progress;
  layout: ReadingsLayout;
  /** Told by the look of the first line unless given. */
  delimiter?: string | undefined;
  /** Names of the columns of a file whose first line is a reading. */
  columns?: readonly string[] | undefined;
}

export interface ImportCount {
  lines: number;
  /** Readings or events that are new. */
  added: number;
  /** Those that were there already. */
  known: number;
  /** Lines of which something could not be used; each was told. */
  bad: number;
  /** The earliest time among what is new; null when nothing is. */
  from: EpochMs | null;
}

const atOnce = 20_000;

/**
 * Takes a table of readings into the log. Readings that are there already stay as they are, so a file may be
 * read again; a line that cannot be used is told by its number and the rest is kept. Readings count as known
 * when they were taken.
 *
 * @throws AppError 'bad-request' when the columns do not fit the layout: then nothing was stored.
 */
export async function importReadings(path: string, parts: ReadingsImport): Promise<ImportCount> {
  const { database, farm, clock, progress, layout } = parts;
  const log = createReadingsLog(database);
  const now = clock.now();
  const count: ImportCount = { lines: 0, added: 0, known: 0, bad: 0, from: null };
  let delimiter = parts.delimiter ?? ',';
  let readLine: ReadLine | undefined;
  let waiting: Reading[] = [];

  const bad = (number: number, why: string): void => {
    count.bad += 1;
    progress.note(`${path}:${number}: ${why}`);
  };
  const store = (): void => {
    const added = log.append(waiting);
    count.added += added.length;
    count.known += waiting.length - added.length;
    for (const { t } of added) if (count.from === null || t < count.from) count.from = t;
    waiting = [];
  };
  const take = (line: string, number: number): void => {
    if (line.trim() === '') return;
    try {
      if (readLine === undefined) {
        delimiter = parts.delimiter ?? delimiterOf(line);
        readLine = createReadLine(farm, layout, parts.columns ?? cellsOf(line, delimiter), now);
        if (parts.columns === undefined) return;
      }
      const why = readLine(cellsOf(line, delimiter), waiting);
      if (why !== undefined) bad(number, why);
    } catch (thrown) {
      if (readLine === undefined) throw thrown;
      bad(number, (thrown as Error).message);
    }
    if (waiting.length >= atOnce) store();
  };

  count.lines = await readLines(path, take, (share) =>
    progress.at(
      () =>
        `${Math.floor(share * 100)} %: ${count.added} new readings, ${count.known} known, ${count.bad} bad lines`,
    ),
  );
  if (readLine === undefined) throw new AppError('bad-request', `${path} is empty.`);
  store();
  for (let done = 0, rows = log.settle(100_000); rows > 0; rows = log.settle(100_000)) {
    done += rows;
    progress.at(() => `rolling up: ${done} readings`);
  }
  progress.end();
  return count;
}
