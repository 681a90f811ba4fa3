import type { Database } from 'better-sqlite3';
import type { Role } from '../../../shared/doors.ts';
import { AppError } from '../../../shared/errors.ts';
import { type Clock, dayMs, type EpochMs } from '../../../shared/time.ts';
import { checkChosen, hashPassword, matchesPassword } from './passwords.ts';
import { digestOf, newId, newSecret } from './secrets.ts';

export interface Person {
  id: string;
  name: string;
  role: Role;
  createdAt: EpochMs;
  disabledAt: EpochMs | null;
  /** False until the invitation was taken up. */
  hasPassword: boolean;
}

interface Row {
  id: string;
  name: string;
  role: Role;
  password: string | null;
  created_at: EpochMs;
  disabled_at: EpochMs | null;
}

const inviteMs = 3 * dayMs;

/** What cannot be seen in a name could make one person look like another. */
const hidden = /[\p{Cc}\p{Cf}\p{Co}\p{Cn}\p{Zl}\p{Zp}]/u;

/** A name as it is shown, in any script. Throws AppError 'bad-request'. */
function readName(typed: string): string {
  const name = typed.normalize('NFC').trim().replace(/\s+/gu, ' ');
  if (name === '' || [...name].length > 60)
    throw new AppError('bad-request', 'A name has 1 to 60 characters.');
  if (hidden.test(name))
    throw new AppError('bad-request', 'The name holds characters that cannot be seen; type it anew.');
  return name;
}

/** Names that look alike are one name. */
const keyOf = (name: string): string => name.normalize('NFKC').toLowerCase();

const personOf = ({ password, created_at, disabled_at, ...row }: Row): Person => ({
  id: row.id,
  name: row.name,
  role: row.role,
  createdAt: created_at,
  disabledAt: disabled_at,
  hasPassword: password !== null,
});

/** Who may enter. At least one admin who can sign in is always left. */
export function createPeople({ database, clock }: { database: Database; clock: Pick<Clock, 'now'> }) {
  const byId = database.prepare<[string], Row>('SELECT * FROM person WHERE id = ?');
  const byKey = database.prepare<[string], Row>('SELECT * FROM person WHERE name_key = ?');
  const everyone = database.prepare<[], Row>('SELECT * FROM person ORDER BY created_at, id');
  const insert = database.prepare(
    'INSERT INTO person (id, name, name_key, role, password, created_at) VALUES (?, ?, ?, ?, NULL, ?)',
  );
  const setName = database.prepare('UPDATE person SET name = ?, name_key = ? WHERE id = ?');
  const setRole = database.prepare('UPDATE person SET role = ? WHERE id = ?');
  const setPassword = database.prepare('UPDATE person SET password = ? WHERE id = ?');
  const setDisabled = database.prepare('UPDATE person SET disabled_at = ? WHERE id = ?');
  const otherAdmins = database
    .prepare<[string], number>(
      `SELECT count(*) FROM person
       WHERE id <> ? AND role = 'admin' AND disabled_at IS NULL AND password IS NOT NULL`,
    )
    .pluck();
  const addInvite = database.prepare('INSERT INTO invite (token, person, expires_at) VALUES (?, ?, ?)');
  const dropInvites = database.prepare('DELETE FROM invite WHERE person = ?');
  const inviteOf = database.prepare<
    [string],
    { person: string; expires_at: EpochMs; used_at: EpochMs | null }
  >('SELECT person, expires_at, used_at FROM invite WHERE token = ?');
  const useInvite = database.prepare(
    'UPDATE invite SET used_at = ? WHERE token = ? AND used_at IS NULL AND expires_at > ?',
  );

  const rowOf = (id: string): Row => {
    const row = byId.get(id);
    if (row === undefined) throw new AppError('not-found', 'There is no such person (any more).');
    return row;
  };
  const checkFree = (name: string, except?: string) => {
    const taken = byKey.get(keyOf(name));
    if (taken !== undefined && taken.id !== except)
      throw new AppError('conflict', `There is somebody called ${taken.name} already; add an initial.`);
  };
  const checkNotLastAdmin = ({ id, role, name }: Row) => {
    if (role === 'admin' && otherAdmins.get(id) === 0)
      throw new AppError('conflict', `${name} is the only admin who can sign in; make another one first.`);
  };

  const add = database.transaction((typed: string, role: Role): Person => {
    const name = readName(typed);
    checkFree(name);
    const id = newId();
    insert.run(id, name, keyOf(name), role, clock.now());
    return personOf(rowOf(id));
  });

  return {
    list: (): Person[] => everyone.all().map(personOf),
    get: (id: string): Person => personOf(rowOf(id)),
    /** Whether somebody can sign in and let others in. */
    isSetUp: (): boolean => otherAdmins.get('')! > 0,
    named(name: string): Person | undefined {
      const row = byKey.get(keyOf(name.trim()));
      return row && personOf(row);
    },
    add,
    /** Adds the very first person, an admin; throws AppError 'refused' when there is somebody. */
    async addFirst(typed: string, password: string): Promise<Person> {
      const name = readName(typed);
      await checkChosen(password, name);
      const hash = await hashPassword(password);
      return database.transaction(() => {
        if (otherAdmins.get('')! > 0)
          throw new AppError('refused', 'Somebody has been set up already; ask them to invite you.');
        const left = byKey.get(keyOf(name));
        const { id } = left ?? add(name, 'admin');
        setRole.run('admin', id);
        setDisabled.run(null, id);
        setPassword.run(hash, id);
        return personOf(rowOf(id));
      })();
    },
    rename: database.transaction((id: string, typed: string): Person => {
      rowOf(id);
      const name = readName(typed);
      checkFree(name, id);
      setName.run(name, keyOf(name), id);
      return personOf(rowOf(id));
    }),
    changeRole: database.transaction((id: string, role: Role): Person => {
      const row = rowOf(id);
      if (role !== 'admin') checkNotLastAdmin(row);
      setRole.run(role, id);
      return personOf(rowOf(id));
    }),
    setDisabled: database.transaction((id: string, disabled: boolean): Person => {
      const row = rowOf(id);
      if (disabled) checkNotLastAdmin(row);
      setDisabled.run(disabled ? (row.disabled_at ?? clock.now()) : null, id);
      if (disabled) dropInvites.run(id);
      return personOf(rowOf(id));
    }),
    /** A secret for a link that lets the person choose a password, once, within three days. */
    invite: database.transaction((id: string): { secret: string; expiresAt: EpochMs } => {
      const row = rowOf(id);
      if (row.disabled_at !== null)
        throw new AppError('conflict', `${row.name} is disabled; let them in again first.`);
      const secret = newSecret();
      const expiresAt = clock.now() + inviteMs;
      dropInvites.run(id);
      addInvite.run(digestOf(secret), id, expiresAt);
      return { secret, expiresAt };
    }),
    /** Takes an invitation up. Throws AppError 'refused' for a link that is used, old or wrong. */
    async join(secret: string, password: string): Promise<Person> {
      const token = digestOf(secret);
      const found = inviteOf.get(token);
      if (found === undefined || found.used_at !== null || found.expires_at <= clock.now())
        throw new AppError(
          'refused',
          'This link was used, is older than three days, or is not whole. Ask for another.',
        );
      await checkChosen(password, rowOf(found.person).name);
      const hash = await hashPassword(password);
      return database.transaction(() => {
        const now = clock.now();
        if (useInvite.run(now, token, now).changes !== 1)
          throw new AppError('refused', 'This link has just been used. Ask for another.');
        setPassword.run(hash, found.person);
        return personOf(rowOf(found.person));
      })();
    },
    async changePassword(id: string, current: string, next: string): Promise<void> {
      const row = rowOf(id);
      if (!(await matchesPassword(current, row.password)))
        throw new AppError('refused', 'The present password is not right.');
      await checkChosen(next, row.name);
      setPassword.run(await hashPassword(next), id);
    },
    /** The person, or undefined when name or password is wrong; both take as long. */
    async signIn(name: string, password: string): Promise<Person | undefined> {
      const row = byKey.get(keyOf(name.trim()));
      const right = await matchesPassword(password, row?.password ?? null);
      return right && row !== undefined && row.disabled_at === null ? personOf(row) : undefined;
    },
  };
}
