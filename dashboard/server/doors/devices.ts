import type { Database } from 'better-sqlite3';
import { AppError } from '../../../shared/errors.ts';
import type { BrokerDoor, DeviceAccess } from '../../../shared/ports.ts';
import { type Clock, type EpochMs, minuteMs } from '../../../shared/time.ts';
import { aside } from './aside.ts';
import { digestOf, newId, newSecret, sameDigest } from './secrets.ts';

export interface DeviceView {
  id: string;
  /** The user with which it connects. */
  name: string;
  /** It publishes to this topic and those below it. */
  topic: string;
  /** It may also hear the alarm topics: a light or a horn. */
  hears: boolean;
  madeBy: string;
  madeAt: EpochMs;
  seenAt: EpochMs | null;
}

interface Row {
  id: string;
  name: string;
  token: string;
  topic: string;
  hears: number;
  made_by: string;
  made_at: EpochMs;
  seen_at: EpochMs | null;
}

const viewOf = (row: Row): DeviceView => ({
  id: row.id,
  name: row.name,
  topic: row.topic,
  hears: row.hears === 1,
  madeBy: row.made_by,
  madeAt: row.made_at,
  seenAt: row.seen_at,
});

const nobodys = digestOf('');

/** Devices of the built-in broker: each with a user, a password shown once, and topics of its own. */
export function createDevices({ database, clock }: { database: Database; clock: Pick<Clock, 'now'> }) {
  const insert = database.prepare(
    'INSERT INTO device (id, name, token, topic, hears, made_by, made_at) VALUES (?, ?, ?, ?, ?, ?, ?)',
  );
  const byName = database.prepare<[string], Row>(
    'SELECT * FROM device WHERE name = ? AND revoked_at IS NULL',
  );
  const byId = database.prepare<[string], Row>('SELECT * FROM device WHERE id = ? AND revoked_at IS NULL');
  const all = database.prepare<[], Row>('SELECT * FROM device WHERE revoked_at IS NULL ORDER BY name');
  const see = database.prepare('UPDATE device SET seen_at = ? WHERE id = ?');
  const revoke = database.prepare('UPDATE device SET revoked_at = ? WHERE id = ?');
  const leaving = new Set<(name: string) => void>();

  const rowOf = (id: string): Row => {
    const row = byId.get(id);
    if (row === undefined) throw new AppError('not-found', 'There is no such device (any more).');
    return row;
  };

  const door: BrokerDoor = {
    admit(name, password): DeviceAccess | undefined {
      const row = byName.get(name);
      const right = sameDigest(digestOf(password), row?.token ?? nobodys);
      if (row === undefined || !right || password === '') return undefined;
      const now = clock.now();
      if (row.seen_at === null || Math.abs(now - row.seen_at) >= minuteMs) aside(() => see.run(now, row.id));
      return { name, topic: row.topic, hears: row.hears === 1 };
    },
    onRevoked(listener) {
      leaving.add(listener);
      return () => leaving.delete(listener);
    },
  };

  return {
    door,
    list: (): DeviceView[] => all.all().map(viewOf),
    /** The password in clear is in the answer and nowhere else. Throws AppError 'conflict' for a name in use. */
    make(name: string, topic: string, hears: boolean, by: string): { password: string; device: DeviceView } {
      if (byName.get(name) !== undefined)
        throw new AppError('conflict', `There is a device called ${name} already; choose another name.`);
      const password = newSecret();
      const id = newId();
      insert.run(id, name, digestOf(password), topic, hears ? 1 : 0, by, clock.now());
      return { password, device: viewOf(rowOf(id)) };
    },
    revoke(id: string): DeviceView {
      const row = rowOf(id);
      revoke.run(clock.now(), id);
      for (const tell of leaving) tell(row.name);
      return viewOf(row);
    },
  };
}
