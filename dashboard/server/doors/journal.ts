import { createHash } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import { type AccessNews, type Actor, accessActs } from '../../../shared/doors.ts';
import type { Clock, EpochMs } from '../../../shared/time.ts';

/** Who did it and from where. */
export interface Doer {
  who: string;
  /** How they were let in: `session`, `wall`, `script`, `link`, `machine`, `demo`, `none`. */
  via: string;
  address: string;
}

export interface DoorEntry extends Doer {
  seq: number;
  t: EpochMs;
  act: string;
  subject: string;
  before: unknown;
  after: unknown;
}

interface Row extends Doer {
  seq: number;
  t: EpochMs;
  act: string;
  subject: string;
  before: string | null;
  after: string | null;
  chain: string;
}

const chainOf = (previous: string, { seq, t, who, via, address, act, subject, before, after }: Row): string =>
  createHash('sha256')
    .update(JSON.stringify([previous, seq, t, who, via, address, act, subject, before, after]))
    .digest('base64url');

/** A line stays one line wherever it is read, whatever a stranger typed as a name. */
const oneLine = (text: string): string => text.replace(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ');

/** Keeps one line short, however large what was sent. */
const mostChars = 4_000;
const textOf = (value: unknown): string | null => {
  if (value === undefined || value === null) return null;
  const text = JSON.stringify(value);
  return text.length <= mostChars ? text : JSON.stringify(`${text.slice(0, mostChars)} ...`);
};

/** The name under which an actor stands in a journal, and how it was let in. */
export function doerOf(actor: Actor, address: string): Doer {
  switch (actor.kind) {
    case 'nobody':
      return { who: '', via: 'none', address };
    case 'demo':
      return { who: '', via: 'demo', address };
    case 'person':
      return { who: actor.name, via: 'session', address };
    case 'wall':
      return { who: `wall ${actor.name}`, via: 'wall', address };
    case 'script':
      return { who: `script ${actor.name}`, via: 'script', address };
  }
}

export interface DoorQuestion {
  from?: EpochMs | undefined;
  to?: EpochMs | undefined;
  who?: string | undefined;
  act?: string | undefined;
  /** Only lines before this one, for paging. */
  beforeSeq?: number | undefined;
  limit: number;
}

interface JournalParts {
  database: Database;
  clock: Pick<Clock, 'now'>;
  /** Told when how a person enters was changed. */
  onAccess?: ((news: AccessNews) => void) | undefined;
}

const isAccessAct = (act: string): act is AccessNews['act'] =>
  (accessActs as readonly string[]).includes(act);
const mostAboutOne = 20;

/**
 * What was done at the doors and through them: it only grows, and each line is chained to the one before
 * by its hash, so that a line taken out or changed from outside shows.
 */
export function createDoorJournal({ database, clock, onAccess = () => {} }: JournalParts) {
  const last = database.prepare<[], { seq: number; chain: string }>(
    'SELECT seq, chain FROM door_journal ORDER BY seq DESC LIMIT 1',
  );
  const insert = database.prepare<[Row]>(
    `INSERT INTO door_journal (seq, t, who, via, address, act, subject, before, after, chain)
     VALUES (@seq, @t, @who, @via, @address, @act, @subject, @before, @after, @chain)`,
  );
  const some = database.prepare<[Record<string, unknown>], Row>(
    `SELECT * FROM door_journal
     WHERE t >= @from AND t < @to AND seq < @beforeSeq
       AND (@who IS NULL OR who = @who) AND (@act IS NULL OR act = @act)
     ORDER BY seq DESC LIMIT @limit`,
  );
  const about = database.prepare<[string, EpochMs], Row>(
    `SELECT * FROM door_journal
     WHERE subject = ? AND t >= ? AND act IN (${accessActs.map((act) => `'${act}'`).join(', ')})
     ORDER BY seq DESC LIMIT ${mostAboutOne}`,
  );
  const all = database.prepare<[], Row>('SELECT * FROM door_journal ORDER BY seq');
  const put = database.transaction(
    (doer: Doer, act: string, subject: string, before?: unknown, after?: unknown): void => {
      const previous = last.get() ?? { seq: 0, chain: '' };
      const row: Row = {
        ...doer,
        who: oneLine(doer.who),
        seq: previous.seq + 1,
        t: clock.now(),
        act,
        subject: oneLine(subject),
        before: textOf(before),
        after: textOf(after),
        chain: '',
      };
      insert.run({ ...row, chain: chainOf(previous.chain, row) });
    },
  );

  return {
    write(doer: Doer, act: string, subject: string, before?: unknown, after?: unknown): void {
      put(doer, act, subject, before, after);
      const { who, address } = doer;
      if (isAccessAct(act)) onAccess({ name: subject, act, who, address, t: clock.now() });
    },
    /** What changed how a person enters since an instant, newest first. */
    aboutAccess: (name: string, since: EpochMs): AccessNews[] =>
      about.all(name, since).map(({ subject, act, who, address, t }) => ({
        ...{ name: subject, act: act as AccessNews['act'], who, address, t },
      })),
    /** Newest first. */
    read({ from, to, who, act, beforeSeq, limit }: DoorQuestion): DoorEntry[] {
      const rows = some.all({
        from: from ?? 0,
        to: to ?? Number.MAX_SAFE_INTEGER,
        who: who ?? null,
        act: act ?? null,
        beforeSeq: beforeSeq ?? Number.MAX_SAFE_INTEGER,
        limit,
      });
      return rows.map(({ chain: _, before, after, ...row }) => ({
        ...row,
        before: before === null ? null : JSON.parse(before),
        after: after === null ? null : JSON.parse(after),
      }));
    },
    /** The first line that does not follow from the one before it, or null when the chain is whole. */
    firstBreak(): number | null {
      let previous = { seq: 0, chain: '' };
      for (const row of all.iterate()) {
        if (row.seq !== previous.seq + 1 || row.chain !== chainOf(previous.chain, row)) return row.seq;
        previous = row;
      }
      return null;
    },
  };
}
