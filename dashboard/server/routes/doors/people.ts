import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import * as api from '../../../../shared/api/doors.ts';
import type { Doors } from '../../doors/doors.ts';
import { doorChanges } from '../../limits.ts';
import { answers } from '../../schemas.ts';

const tags = ['doors'];

/** Who may enter: invited, renamed, given another role, shut out. */
export const peopleRoutes: FastifyPluginAsyncZod<{ doors: Doors }> = async (app, { doors }) => {
  const { people, sessions, journal } = doors;
  /** After the `#`, which a browser sends to no server and no log. */
  const linkOf = (secret: string): string => `/join#${secret}`;

  app.get(
    '',
    {
      schema: {
        tags,
        operationId: 'getPeople',
        summary: 'Everybody who may enter, or might once',
        response: answers({ 200: api.people }),
      },
    },
    async () => people.list(),
  );

  app.post(
    '',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'invite',
        summary: 'Adds a person and makes a link with which they choose a password',
        body: api.addPerson,
        response: answers({ 201: api.invited }),
      },
    },
    async (request, reply) => {
      const person = people.add(request.body.name, request.body.role);
      const { secret, expiresAt } = people.invite(person.id);
      journal.write(doors.doer(request), 'invite', person.name, null, { role: person.role });
      return reply.code(201).send({ person, link: linkOf(secret), expiresAt });
    },
  );

  app.post(
    '/:id',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'changePerson',
        summary: 'Renames, gives another role, disables or lets in again',
        params: api.idParams,
        body: api.changePerson,
        response: answers({ 200: api.personView }),
      },
    },
    async (request) => {
      const { id } = request.params;
      const { name, role, disabled } = request.body;
      const before = people.get(id);
      if (role !== undefined) people.changeRole(id, role);
      if (disabled !== undefined) people.setDisabled(id, disabled);
      if (name !== undefined) people.rename(id, name);
      if (disabled === true) sessions.closeAllOf(id);
      doors.shutOut();
      const after = people.get(id);
      journal.write(doors.doer(request), 'change-person', before.name, before, after);
      return after;
    },
  );

  app.post(
    '/:id/invite',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'inviteAgain',
        summary: 'Makes a new link, for a person who forgot or lost theirs; older links end',
        params: api.idParams,
        body: api.nothing,
        response: answers({ 200: api.invited }),
      },
    },
    async (request) => {
      const person = people.get(request.params.id);
      const { secret, expiresAt } = people.invite(person.id);
      journal.write(doors.doer(request), 'invite-again', person.name);
      return { person, link: linkOf(secret), expiresAt };
    },
  );

  app.post(
    '/:id/sign-out',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'signOutPerson',
        summary: 'Ends every session of a person',
        params: api.idParams,
        body: api.nothing,
        response: answers({ 200: api.done }),
      },
    },
    async (request) => {
      const person = people.get(request.params.id);
      sessions.closeAllOf(person.id);
      doors.shutOut();
      journal.write(doors.doer(request), 'sign-out-person', person.name);
      return { done: true } as const;
    },
  );
};
