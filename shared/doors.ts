import { z } from 'zod';
import { roles, scopes } from './door-names.ts';

export const role = z.enum(roles);
export type Role = z.infer<typeof role>;

export const scope = z.enum(scopes);
export type Scope = z.infer<typeof scope>;

/** Who a request comes from, once it is known. */
export type Actor =
  | { kind: 'nobody' }
  /** The demo on this machine, where nobody signs in. */
  | { kind: 'demo' }
  | { kind: 'person'; id: string; name: string; role: Role; session: string }
  | { kind: 'wall'; id: string; name: string; rooms: string[] | null; mayAcknowledge: boolean }
  | { kind: 'script'; id: string; name: string; scopes: Scope[] };

/** Acts that change how a person enters, of which the person is told. */
export const accessActs = ['change-password', 'join', 'invite-again', 'change-person'] as const;

/** How a person enters was changed: of whom, by whom and from where. */
export interface AccessNews {
  name: string;
  act: (typeof accessActs)[number];
  who: string;
  address: string;
  /** Epoch ms. */
  t: number;
}

/** What a route asks of whoever calls it. */
export interface Access {
  /** Least role of a person; 'anyone' also lets those in who have not signed in. */
  role: Role | 'anyone';
  /** Open to paired walls too: for reading, or only to walls that may acknowledge. */
  wall?: 'read' | 'acknowledge';
  /** Open to scripts that hold this scope. */
  scope?: Scope;
}

const rank: Record<Role, number> = { viewer: 0, operator: 1, admin: 2 };

/** Whether `held` is at least `wanted`. */
export const isAtLeast = (held: Role, wanted: Role): boolean => rank[held] >= rank[wanted];

/** The one decision who may: by role, by what a wall was allowed, by what a script was given. */
export function mayEnter(actor: Actor, access: Access): boolean {
  if (access.role === 'anyone') return true;
  switch (actor.kind) {
    case 'nobody':
      return false;
    case 'demo':
      return true;
    case 'person':
      return isAtLeast(actor.role, access.role);
    case 'wall':
      return access.wall === 'read' || (access.wall === 'acknowledge' && actor.mayAcknowledge);
    case 'script':
      return access.scope !== undefined && actor.scopes.includes(access.scope);
  }
}

/** Whom to ask, in words for a refusal. */
export function whoMay({ role: least }: Access): string {
  if (least === 'anyone') return 'anyone';
  if (least === 'viewer') return 'anyone who has signed in';
  return least === 'operator' ? 'an operator or an admin' : 'an admin';
}
