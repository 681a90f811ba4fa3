import type { Database } from 'better-sqlite3';
import type { Actor, Scope } from '../../../shared/doors.ts';
import { AppError } from '../../../shared/errors.ts';
import { type Clock, dayMs, type EpochMs, minuteMs } from '../../../shared/time.ts';
import { aside } from './aside.ts';
import { digestOf, newId, newSecret } from './secrets.ts';

/** So that a key that has leaked can be told from other text, by people and by secret scanners. */
const prefix = 'shelfwarden_';

export interface ScriptView {
  id: string;
  name: string;
  scopes: Scope[];
  madeBy: string;
  madeAt: EpochMs;
  expiresAt: EpochMs;
  usedAt: EpochMs | null;
}

interface Row {
  id: string;
  name: string;
  scopes: string;
  made_by: string;
  made_at: EpochMs;
  expires_at: EpochMs;
  used_at: EpochMs | null;
}

const viewOf = (row: Row): ScriptView => ({
  id: row.id,
  name: row.name,
  scopes: JSON.parse(row.scopes),
  madeBy: row.made_by,
  madeAt: row.made_at,
  expiresAt: row.expires_at,
  usedAt: row.used_at,
});

/** Keys for programs: each with a name, what it may do, and an end. Shown once, stored as a hash. */
export function createScripts({ database, clock }: { database: Database; clock: Pick<Clock, 'now'> }) {
  const insert = database.prepare(
    `INSERT INTO script (id, name, token, scopes, made_by, made_at, expires_at) VALUES (?, ?, ?, ?, ?, ?, ?)`,
  );
  const byToken = database.prepare<[string], Row>(
    'SELECT * FROM script WHERE token = ? AND revoked_at IS NULL',
  );
  const byId = database.prepare<[string], Row>('SELECT * FROM script WHERE id = ? AND revoked_at IS NULL');
  const all = database.prepare<[], Row>('SELECT * FROM script WHERE revoked_at IS NULL ORDER BY made_at');
  const use = database.prepare('UPDATE script SET used_at = ? WHERE id = ?');
  const revoke = database.prepare('UPDATE script SET revoked_at = ? WHERE id = ?');

  const isOver = ({ expires_at, made_at }: Row): boolean => {
    const now = clock.now();
    return expires_at <= now || made_at - now > 5 * minuteMs;
  };
  const rowOf = (id: string): Row => {
    const row = byId.get(id);
    if (row === undefined) throw new AppError('not-found', 'There is no such key (any more).');
    return row;
  };

  return {
    /** The key in clear is in the answer and nowhere else. */
    make(
      name: string,
      scopes: readonly Scope[],
      days: number,
      by: string,
    ): { key: string; script: ScriptView } {
      const key = prefix + newSecret();
      const id = newId();
      const now = clock.now();
      insert.run(id, name, digestOf(key), JSON.stringify([...new Set(scopes)]), by, now, now + days * dayMs);
      return { key, script: viewOf(rowOf(id)) };
    },
    actorOf(key: string): Extract<Actor, { kind: 'script' }> | undefined {
      const row = byToken.get(digestOf(key));
      if (row === undefined || isOver(row)) return undefined;
      const now = clock.now();
      if (row.used_at === null || Math.abs(now - row.used_at) >= minuteMs) aside(() => use.run(now, row.id));
      return { kind: 'script', id: row.id, name: row.name, scopes: JSON.parse(row.scopes) };
    },
    goesOn(id: string): boolean {
      const row = byId.get(id);
      return row !== undefined && !isOver(row);
    },
    list: (): ScriptView[] => all.all().map(viewOf),
    revoke(id: string): ScriptView {
      const row = rowOf(id);
      revoke.run(clock.now(), id);
      return viewOf(row);
    },
  };
}
