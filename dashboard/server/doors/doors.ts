import type { Database } from 'better-sqlite3';
import type { FastifyRequest } from 'fastify';
import type { AccessNews, Actor } from '../../../shared/doors.ts';
import { AppError } from '../../../shared/errors.ts';
import type { Cancel, Clock } from '../../../shared/time.ts';
import { createAttempts } from './attempts.ts';
import { readCookie } from './cookies.ts';
import { createDevices } from './devices.ts';
import { createDoorJournal, type Doer, doerOf } from './journal.ts';
import { createPeople } from './people.ts';
import { createScripts } from './scripts.ts';
import { createSessions } from './sessions.ts';
import { createWalls } from './walls.ts';

export interface DoorParts {
  database: Database;
  clock: Clock;
  /** The demo on this machine: nobody signs in, and every request may do everything. */
  open: boolean;
  /** Code printed on the console, which lets the first person in from another machine. */
  setUpCode: string;
  /** Where the built-in broker listens, or undefined where the farm has a broker of its own. */
  brokerAt: () => { host: string; port: number; tls: boolean } | undefined;
  alarmTopics: string;
  /** Told when how a person enters was changed, so that they hear of it. */
  onAccess?: (news: AccessNews) => void;
}

/** Everything that decides who comes in: people, their sessions, wall screens, keys of scripts, and the journal. */
export function createDoors({
  database,
  clock,
  open,
  setUpCode,
  brokerAt,
  alarmTopics,
  onAccess,
}: DoorParts) {
  const people = createPeople({ database, clock });
  const sessions = createSessions({ database, clock });
  const walls = createWalls({ database, clock });
  const scripts = createScripts({ database, clock });
  const devices = createDevices({ database, clock });
  const journal = createDoorJournal({ database, clock, onAccess });
  const leaving = new Set<() => void>();

  return {
    open,
    setUpCode,
    people,
    sessions,
    walls,
    scripts,
    devices,
    brokerAt,
    alarmTopics,
    journal,
    now: () => clock.now(),
    attempts: {
      byAddress: createAttempts({ clock, allowed: 30 }),
      byAddressAndName: createAttempts({ clock, allowed: 10 }),
      codes: createAttempts({ clock, allowed: 20 }),
    },
    /**
     * Who this request comes from.
     * @throws AppError 'not-signed-in' for a key that is wrong, over or revoked: a program should be told.
     */
    identify(request: FastifyRequest): Actor {
      const bearer = /^Bearer ([\w-]{20,200})$/i.exec(request.headers.authorization ?? '');
      if (request.headers.authorization !== undefined) {
        const script = bearer === null ? undefined : scripts.actorOf(bearer[1]!);
        if (script === undefined)
          throw new AppError('not-signed-in', 'This key is not known, is over or was revoked.');
        return script;
      }
      const session = readCookie(request, 'session');
      const person = session === undefined ? undefined : sessions.actorOf(session, request.ip);
      if (person !== undefined) return person;
      const wall = readCookie(request, 'wall');
      const screen = wall === undefined ? undefined : walls.actorOf(wall, request.ip);
      if (screen !== undefined) return screen;
      return open ? { kind: 'demo' } : { kind: 'nobody' };
    },
    /** Whether somebody who was let in may stay: asked of streams, which stay open. */
    goesOn(actor: Actor): boolean {
      if (actor.kind === 'person') return sessions.goesOn(actor.session);
      if (actor.kind === 'wall') return walls.goesOn(actor.id);
      if (actor.kind === 'script') return scripts.goesOn(actor.id);
      return actor.kind === 'demo' && open;
    },
    /** Call when somebody was shut out: whoever listens looks again at who may stay. */
    shutOut(): void {
      for (const look of leaving) look();
    },
    onShutOut(look: () => void): Cancel {
      leaving.add(look);
      return () => leaving.delete(look);
    },
    doer: (request: FastifyRequest): Doer => doerOf(request.actor, request.ip),
  };
}
export type Doors = ReturnType<typeof createDoors>;
