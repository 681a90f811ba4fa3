import type { Database } from 'better-sqlite3';
import type { Actor, Role } from '../../../shared/doors.ts';
import { type Clock, dayMs, type EpochMs, minuteMs } from '../../../shared/time.ts';
import { aside } from './aside.ts';
import { digestOf, newSecret } from './secrets.ts';

/** A phone left in a drawer for a week signs in again; nobody stays in longer than a month (ASVS 3.3.2). */
export const idleMs = 7 * dayMs;
export const absoluteMs = 30 * dayMs;
/** Times from the future by more than this say that the clock was turned back: such a session ends. */
const skewMs = 5 * minuteMs;
/** 'Seen' is written this often at most. */
const touchMs = minuteMs;

interface Row {
  token: string;
  person: string;
  name: string;
  role: Role;
  created_at: EpochMs;
  seen_at: EpochMs;
  disabled_at: EpochMs | null;
}

export interface SessionView {
  id: string;
  createdAt: EpochMs;
  seenAt: EpochMs;
  address: string;
  device: string;
}

/** Who has signed in where. Only hashes of the ids are stored. */
export function createSessions({ database, clock }: { database: Database; clock: Pick<Clock, 'now'> }) {
  const insert = database.prepare(
    'INSERT INTO session (token, person, created_at, seen_at, address, device) VALUES (?, ?, ?, ?, ?, ?)',
  );
  const byToken = database.prepare<[string], Row>(
    `SELECT session.token, session.person, session.created_at, session.seen_at,
            person.name, person.role, person.disabled_at
     FROM session JOIN person ON person.id = session.person WHERE session.token = ?`,
  );
  const touch = database.prepare('UPDATE session SET seen_at = ?, address = ? WHERE token = ?');
  const remove = database.prepare('DELETE FROM session WHERE token = ?');
  const removeOf = database.prepare('DELETE FROM session WHERE person = ? AND token <> ?');
  const tokensOf = database.prepare<[string], string>('SELECT token FROM session WHERE person = ?').pluck();
  const listOf = database.prepare<
    [string],
    { token: string; created_at: EpochMs; seen_at: EpochMs; address: string; device: string }
  >('SELECT token, created_at, seen_at, address, device FROM session WHERE person = ? ORDER BY seen_at DESC');
  const removeOld = database.prepare('DELETE FROM session WHERE seen_at < ? OR created_at < ?');

  const isOver = ({ created_at, seen_at, disabled_at }: Row, now: EpochMs): boolean =>
    disabled_at !== null ||
    now - seen_at >= idleMs ||
    now - created_at >= absoluteMs ||
    created_at - now > skewMs ||
    seen_at - now > skewMs;

  return {
    /** A new id at every sign-in, whatever the browser held before. */
    open(person: string, address: string, device: string): string {
      const secret = newSecret();
      const now = clock.now();
      removeOld.run(now - idleMs, now - absoluteMs);
      insert.run(digestOf(secret), person, now, now, address, device.slice(0, 200));
      return secret;
    },
    /** Who holds this id, or undefined when it is unknown, over, or of somebody disabled. */
    actorOf(secret: string, address: string): Extract<Actor, { kind: 'person' }> | undefined {
      const row = byToken.get(digestOf(secret));
      if (row === undefined) return undefined;
      const now = clock.now();
      if (isOver(row, now)) {
        aside(() => remove.run(row.token));
        return undefined;
      }
      if (now - row.seen_at >= touchMs) aside(() => touch.run(now, address, row.token));
      return { kind: 'person', id: row.person, name: row.name, role: row.role, session: row.token };
    },
    /** Whether a session that was let in may go on: for streams that stay open. */
    goesOn(token: string): boolean {
      const row = byToken.get(token);
      return row !== undefined && !isOver(row, clock.now());
    },
    close: (token: string): void => void remove.run(token),
    /** Ends every session of a person, but for the one kept. */
    closeAllOf: (person: string, kept = ''): void => void removeOf.run(person, kept),
    tokensOf: (person: string): string[] => tokensOf.all(person),
    listOf: (person: string): SessionView[] =>
      listOf.all(person).map(({ token, created_at, seen_at, ...rest }) => ({
        id: token,
        createdAt: created_at,
        seenAt: seen_at,
        ...rest,
      })),
  };
}
