import type { Database } from 'better-sqlite3';
import type { BagEvent } from '../../shared/bags.ts';
import { byTime } from '../../shared/batches/effective-events.ts';
import { messageOf } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Clock } from '../../shared/time.ts';
import { createBagBook } from '../bags/bag-book.ts';
import { parseEvent } from '../bags/check-event.ts';
import type { ImportCount } from './import-readings.ts';
import { readLines } from './lines.ts';
import type { Progress } from './progress.ts';

export interface EventsImport {
  database: Database;
  farm: Farm;
  clock: Pick<Clock, 'now'>;
  progress: Progress;
}

const atOnce = 1_000;

/**
 * Takes bag events in, one JSON object to a line as `POST /api/.../events` takes them. They may stand in any
 * order: they are recorded by time. An event that is there already is left; a line that cannot be used, or
 * that contradicts what is recorded, is told by its number and the rest is kept. Events count as known when
 * they happened.
 */
export async function importEvents(path: string, parts: EventsImport): Promise<ImportCount> {
  const { database, farm, clock, progress } = parts;
  const count: ImportCount = { lines: 0, added: 0, known: 0, bad: 0, from: null };
  const bad = (number: number, why: string): void => {
    count.bad += 1;
    progress.note(`${path}:${number}: ${why}`);
  };

  const found: { event: BagEvent; number: number }[] = [];
  count.lines = await readLines(path, (line, number) => {
    if (line.trim() === '') return;
    try {
      found.push({ event: parseEvent(JSON.parse(line)), number });
    } catch (thrown) {
      bad(number, thrown instanceof SyntaxError ? `no JSON object: ${thrown.message}` : messageOf(thrown));
    }
  });
  found.sort((a, b) => byTime(a.event, b.event) || a.number - b.number);

  const book = createBagBook({ database, farm: () => farm, clock });
  const record = database.transaction((some: typeof found) => {
    for (const { event, number } of some)
      try {
        if (!book.recordPast(event)) count.known += 1;
        else {
          count.added += 1;
          count.from = Math.min(event.t, count.from ?? event.t);
        }
      } catch (thrown) {
        bad(number, messageOf(thrown));
      }
  });
  for (let at = 0; at < found.length; at += atOnce) {
    record(found.slice(at, at + atOnce));
    progress.at(() => `${count.added} new events, ${count.known} known, ${count.bad} bad lines`);
  }
  progress.end();
  return count;
}
