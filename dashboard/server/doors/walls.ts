import type { Database } from 'better-sqlite3';
import type { Actor } from '../../../shared/doors.ts';
import { AppError } from '../../../shared/errors.ts';
import { type Clock, dayMs, type EpochMs, minuteMs } from '../../../shared/time.ts';
import { aside } from './aside.ts';
import { digestOf, newCode, newId, newSecret, readCode } from './secrets.ts';

const codeMs = 10 * minuteMs;
const mostWaiting = 50;
const seenEveryMs = minuteMs;

export interface WallSettings {
  name: string;
  /** Ids of the rooms it may show; null for all. */
  rooms: string[] | null;
  mayAcknowledge: boolean;
}

export interface WallView extends WallSettings {
  id: string;
  pairedBy: string;
  pairedAt: EpochMs;
  lastSeenAt: EpochMs | null;
  /** Where it was seen within a day; more than one is worth a look. */
  addresses: string[];
}

interface Waiting {
  code: string;
  expiresAt: EpochMs;
  /** The wall's token once somebody has let it in. */
  secret: string | null;
}

interface Row {
  id: string;
  name: string;
  rooms: string | null;
  may_acknowledge: number;
  paired_by: string;
  paired_at: EpochMs;
}

/** Screens on walls: paired by a short code (the shape of RFC 8628), read-only, each with a name. */
export function createWalls({ database, clock }: { database: Database; clock: Pick<Clock, 'now'> }) {
  /** By the digest of what the waiting screen alone knows. Not kept: a restart shows a new code. */
  const waiting = new Map<string, Waiting>();
  const seenAt = new Map<string, { at: EpochMs; address: string }>();
  const insert = database.prepare(
    `INSERT INTO wall (id, name, token, rooms, may_acknowledge, paired_by, paired_at)
     VALUES (?, ?, ?, ?, ?, ?, ?)`,
  );
  const byToken = database.prepare<[string], Row>(
    'SELECT * FROM wall WHERE token = ? AND revoked_at IS NULL',
  );
  const byId = database.prepare<[string], Row>('SELECT * FROM wall WHERE id = ? AND revoked_at IS NULL');
  const all = database.prepare<[], Row>('SELECT * FROM wall WHERE revoked_at IS NULL ORDER BY paired_at');
  const update = database.prepare('UPDATE wall SET name = ?, rooms = ?, may_acknowledge = ? WHERE id = ?');
  const revoke = database.prepare('UPDATE wall SET revoked_at = ? WHERE id = ? AND revoked_at IS NULL');
  const see = database.prepare(
    `INSERT INTO wall_seen (wall, address, first_at, last_at) VALUES (?, ?, ?, ?)
     ON CONFLICT (wall, address) DO UPDATE SET last_at = excluded.last_at`,
  );
  const seen = database.prepare<[string], { address: string; last_at: EpochMs }>(
    'SELECT address, last_at FROM wall_seen WHERE wall = ? ORDER BY last_at DESC',
  );

  const roomsOf = ({ rooms }: Row): string[] | null => (rooms === null ? null : JSON.parse(rooms));
  const forget = () => {
    const now = clock.now();
    for (const [key, { expiresAt }] of waiting)
      if (expiresAt <= now || expiresAt - now > codeMs) waiting.delete(key);
  };
  const viewOf = (row: Row): WallView => {
    const where = seen.all(row.id);
    return {
      id: row.id,
      name: row.name,
      rooms: roomsOf(row),
      mayAcknowledge: row.may_acknowledge === 1,
      pairedBy: row.paired_by,
      pairedAt: row.paired_at,
      lastSeenAt: where[0]?.last_at ?? null,
      addresses: where.filter(({ last_at }) => clock.now() - last_at < dayMs).map(({ address }) => address),
    };
  };
  const rowOf = (id: string): Row => {
    const row = byId.get(id);
    if (row === undefined) throw new AppError('not-found', 'There is no such wall screen (any more).');
    return row;
  };

  return {
    /** A code to show on the waiting screen, and what it proves itself with afterwards. */
    ask(): { code: string; device: string; expiresAt: EpochMs } {
      forget();
      if (waiting.size >= mostWaiting)
        throw new AppError('unavailable', 'Too many screens wait to be paired; try again in ten minutes.');
      const device = newSecret();
      const taken = new Set([...waiting.values()].map(({ code }) => code));
      let code = newCode();
      while (taken.has(code)) code = newCode();
      const expiresAt = clock.now() + codeMs;
      waiting.set(digestOf(device), { code, expiresAt, secret: null });
      return { code, device, expiresAt };
    },
    /** Lets in the screen that shows this code. Throws AppError 'not-found' for a code that no screen shows. */
    pair(typed: string, { name, rooms, mayAcknowledge }: WallSettings, by: string): WallView {
      forget();
      const code = readCode(typed);
      const screen = [...waiting.values()].find((one) => one.code === code && one.secret === null);
      if (screen === undefined)
        throw new AppError('not-found', 'No screen shows this code. Codes last ten minutes; look again.');
      const secret = newSecret();
      const id = newId();
      insert.run(
        id,
        name,
        digestOf(secret),
        rooms === null ? null : JSON.stringify(rooms),
        mayAcknowledge ? 1 : 0,
        by,
        clock.now(),
      );
      screen.secret = secret;
      return viewOf(rowOf(id));
    },
    /** The wall's token, once; null while nobody has typed the code. Throws 'not-found' when it is over. */
    claim(device: string): string | null {
      forget();
      const key = digestOf(device);
      const screen = waiting.get(key);
      if (screen === undefined)
        throw new AppError('not-found', 'This code is over; the screen asks for another.');
      if (screen.secret !== null) waiting.delete(key);
      return screen.secret;
    },
    actorOf(secret: string, address: string): Extract<Actor, { kind: 'wall' }> | undefined {
      const row = byToken.get(digestOf(secret));
      if (row === undefined) return undefined;
      const now = clock.now();
      const last = seenAt.get(row.id);
      if (last === undefined || last.address !== address || now - last.at >= seenEveryMs) {
        seenAt.set(row.id, { at: now, address });
        aside(() => see.run(row.id, address, now, now));
      }
      return {
        kind: 'wall',
        id: row.id,
        name: row.name,
        rooms: roomsOf(row),
        mayAcknowledge: row.may_acknowledge === 1,
      };
    },
    goesOn: (id: string): boolean => byId.get(id) !== undefined,
    list: (): WallView[] => all.all().map(viewOf),
    get: (id: string): WallView => viewOf(rowOf(id)),
    change(id: string, { name, rooms, mayAcknowledge }: WallSettings): WallView {
      rowOf(id);
      update.run(name, rooms === null ? null : JSON.stringify(rooms), mayAcknowledge ? 1 : 0, id);
      return viewOf(rowOf(id));
    },
    revoke(id: string): void {
      rowOf(id);
      revoke.run(clock.now(), id);
    },
  };
}
