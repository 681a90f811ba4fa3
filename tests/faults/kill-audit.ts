import { join } from 'node:path';
import SQLite, { type Database } from 'better-sqlite3';
import { databaseName } from '../../collector/data-folder.ts';
import { recount } from '../../collector/store/recount.ts';
import { edgeCount, expectedTurns, type Sent } from './reading-stream.ts';

/** A handle that only looks, and leaves what a crash left to the collector. */
export function look<T>(dataFolder: string, question: (database: Database) => T): T {
  const database = new SQLite(join(dataFolder, databaseName), { readonly: true });
  try {
    return question(database);
  } finally {
    database.close();
  }
}

export interface Seen {
  sensor: number;
  t: number;
  value: number;
}

const stored = `SELECT value FROM reading JOIN series ON series.id = reading.series
  WHERE channel = ? AND t = ?`;

/** How many of these readings are not in the store as they were sent. */
export function missing(database: Database, readings: readonly Seen[]): number {
  const find = database.prepare<[string, number], number>(stored).pluck();
  return readings.filter(({ sensor, t, value }) => find.get(`s${sensor}.temperature`, t) !== value).length;
}

interface JournalLine {
  alarm: string;
  from: string;
  to: string;
}

/** Lines of the journal that do not begin where the alarm's line before them ended. */
function brokenLinks(lines: readonly JournalLine[]): number {
  const at = new Map<string, string>();
  let broken = 0;
  for (const { alarm, from, to } of lines) {
    if (from !== (at.get(alarm) ?? 'normal')) broken++;
    at.set(alarm, to);
  }
  return broken;
}

const ringing = 'unacknowledged';
const returned = 'returned-unacknowledged';

/** Everything that is to be said of the store at the end. */
export function audit(database: Database, sent: readonly (readonly Sent[])[]) {
  const all = sent.flatMap((own, sensor) => own.map((reading) => ({ sensor, ...reading })));
  const lines = database
    .prepare<[], JournalLine>(
      'SELECT alarm, from_state AS "from", to_state AS "to" FROM alarm_journal ORDER BY seq',
    )
    .all();
  const turned = (edge: number, to: string) =>
    lines.filter((line) => line.alarm === `high/e${edge}.temperature` && line.to === to && line.from !== to)
      .length;
  let turns = 0;
  let lostTurns = 0;
  for (let edge = 0; edge < edgeCount; edge++) {
    const { begins, ends } = expectedTurns(sent[edge] ?? []);
    turns += begins + ends;
    lostTurns += Math.abs(begins - turned(edge, ringing)) + Math.abs(ends - turned(edge, returned));
  }
  const outbox = database
    .prepare<[], { id: string; state: string }>(
      "SELECT json_extract(message, '$.messageId') AS id, state FROM alarm_outbox",
    )
    .all();
  return {
    rows: database.prepare<[], number>('SELECT count(*) FROM reading').pluck().get() ?? 0,
    missing: missing(database, all),
    recount: recount(database),
    turns,
    lostTurns,
    broken: brokenLinks(lines),
    untold:
      database
        .prepare<[], number>(
          `SELECT count(*) FROM alarm_journal
          WHERE from_state <> to_state AND seq NOT IN (SELECT seq FROM alarm_outbox)`,
        )
        .pluck()
        .get() ?? 0,
    outbox,
  };
}
