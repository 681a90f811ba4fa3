import { join } from 'node:path';
import type { Database } from 'better-sqlite3';
import { type Role, role as roles } from '../../shared/doors.ts';
import { AppError } from '../../shared/errors.ts';
import { databaseName } from '../data-folder.ts';
import { migrations } from '../main.ts';
import { openBeside, openDatabase } from '../store/open-database.ts';
import { systemClock } from '../system-clock.ts';
import { type Command, text } from './command.ts';
import { siteFolder, siteOptions, siteOptionsHelp } from './site-folder.ts';

interface PersonOfDoors {
  id: string;
  name: string;
  role: Role;
  disabledAt: number | null;
  hasPassword: boolean;
}

/** What the command needs of the doors; `collector/cli.ts` hands it in. */
export interface PersonDoors {
  list(): PersonOfDoors[];
  named(name: string): PersonOfDoors | undefined;
  add(name: string, role: Role): PersonOfDoors;
  setDisabled(id: string, disabled: boolean): PersonOfDoors;
  invite(id: string): { secret: string; expiresAt: number };
  signOut(id: string): void;
  write(act: string, subject: string): void;
}

/** Takes the database as its owner, or beside the process that runs on it. */
function openFor(folder: string): Database {
  const file = join(folder, databaseName);
  try {
    return openDatabase({ file, migrations, clock: systemClock });
  } catch (thrown) {
    if (thrown instanceof AppError && thrown.code === 'conflict') return openBeside(file, migrations);
    throw thrown;
  }
}

function roleOf(word: string | undefined): Role {
  const parsed = roles.safeParse(word ?? 'operator');
  if (parsed.success) return parsed.data;
  throw new AppError('bad-request', `--role ${word} is none: give ${roles.options.join(', ')}.`);
}

function stateOf({ disabledAt, hasPassword }: PersonOfDoors): string {
  if (disabledAt !== null) return 'shut out';
  return hasPassword ? 'may enter' : 'invited';
}

/** Letting people in from the machine itself: for the first one, and for when the only admin forgot. */
export function createPersonCommand(openDoors: (database: Database) => PersonDoors): Command {
  const acts: Record<string, (doors: PersonDoors, name: string, role: string | undefined) => void> = {
    list(doors) {
      const everybody = doors.list();
      if (everybody.length === 0) console.log('Nobody yet: shelfwarden person add NAME --role admin');
      for (const person of everybody)
        console.log(`${person.name.padEnd(24)} ${person.role.padEnd(9)} ${stateOf(person)}`);
    },
    add(doors, name, role) {
      const person = doors.add(name, roleOf(role));
      doors.write('invite', person.name);
      tellLink(person.name, doors.invite(person.id).secret);
    },
    reset(doors, name) {
      const person = known(doors, name);
      if (person.disabledAt !== null) doors.setDisabled(person.id, false);
      doors.signOut(person.id);
      doors.write('invite-again', person.name);
      tellLink(person.name, doors.invite(person.id).secret);
    },
    disable(doors, name) {
      const person = known(doors, name);
      doors.setDisabled(person.id, true);
      doors.signOut(person.id);
      doors.write('change-person', person.name);
      console.log(`${person.name} is shut out.`);
    },
  };

  return {
    name: 'person',
    summary: 'let people in from this machine: add, list, disable, reset',
    help: `shelfwarden person add NAME [--role ROLE] --farm FILE
shelfwarden person list --farm FILE
shelfwarden person disable NAME --farm FILE
shelfwarden person reset NAME --farm FILE

Also while the site runs. add and reset print a link that works once, for three days: whoever opens it
chooses a password. reset also signs the person out everywhere.

  --role ROLE      viewer, operator or admin (default operator)
${siteOptionsHelp}`,
    options: { ...siteOptions, role: { type: 'string' } },
    async run(values, [act, name, ...rest]) {
      const wanted = act === undefined || !Object.hasOwn(acts, act) ? undefined : acts[act];
      const takesName = act !== 'list';
      if (wanted === undefined || rest.length > 0 || takesName !== (name !== undefined))
        throw new AppError(
          'bad-request',
          'Say what and whom: shelfwarden person add NAME --role admin --farm FARM.yaml (or list, disable, reset).',
        );
      const database = openFor(siteFolder(values).folder);
      try {
        wanted(openDoors(database), name ?? '', text(values, 'role'));
      } finally {
        database.close();
      }
      return 0;
    },
  };
}

function known(doors: PersonDoors, name: string): PersonOfDoors {
  const person = doors.named(name);
  if (person === undefined)
    throw new AppError(
      'not-found',
      `There is nobody called ${name}; shelfwarden person list shows who there is.`,
    );
  return person;
}

const tellLink = (name: string, secret: string): void =>
  console.log(
    `${name} opens this address of the running site, once, within three days, and chooses a password:\n` +
      `  /join#${secret}\n(behind the address that shelfwarden printed, such as http://127.0.0.1:8420)`,
  );
