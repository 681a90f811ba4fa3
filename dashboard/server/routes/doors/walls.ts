import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import * as api from '../../../../shared/api/doors.ts';
import { clearCookie, setCookie } from '../../doors/cookies.ts';
import type { Doors } from '../../doors/doors.ts';
import { doorChanges, knocks, polls } from '../../limits.ts';
import { answers } from '../../schemas.ts';

const tags = ['doors'];

/** Wall screens: asking to be paired, being paired from a phone, what each may. */
export const wallRoutes: FastifyPluginAsyncZod<{ doors: Doors }> = async (app, { doors }) => {
  const { walls, journal, attempts } = doors;

  app.post(
    '/ask',
    {
      config: knocks,
      schema: {
        tags,
        operationId: 'askPairing',
        summary: 'A code for this screen to show until somebody types it on a phone',
        body: api.nothing,
        response: answers({ 201: api.askedPairing }),
      },
    },
    async (_, reply) => reply.code(201).send(walls.ask()),
  );

  app.post(
    '/claim',
    {
      config: polls,
      schema: {
        tags,
        operationId: 'claimPairing',
        summary: 'Whether the code has been typed; if so, the answer carries the cookie of the wall',
        body: api.claimPairing,
        response: answers({ 200: api.claimed }),
      },
    },
    async (request, reply) => {
      const secret = walls.claim(request.body.device);
      if (secret === null) return { paired: false };
      // A wall is no person: whoever had signed in at this screen to set it up is signed out of it.
      clearCookie(request, reply, 'session');
      setCookie(request, reply, 'wall', secret);
      return { paired: true };
    },
  );

  app.get(
    '',
    {
      schema: {
        tags,
        operationId: 'getWalls',
        summary: 'Every paired wall, with when and where it was last seen',
        response: answers({ 200: api.walls }),
      },
    },
    async () => walls.list(),
  );

  app.post(
    '',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'pairWall',
        summary: 'Lets in the screen that shows this code',
        body: api.pairWall,
        response: answers({ 201: api.wallView }),
      },
    },
    async (request, reply) => {
      const { code, ...settings } = request.body;
      const doer = doors.doer(request);
      const key = `${request.actor.kind === 'person' ? request.actor.id : ''} ${request.ip}`;
      attempts.codes.check(key);
      attempts.codes.wrong(key);
      const wall = walls.pair(code, settings, doer.who);
      attempts.codes.right(key);
      journal.write(doer, 'pair-wall', wall.name, null, settings);
      return reply.code(201).send(wall);
    },
  );

  app.post(
    '/:id',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'changeWall',
        summary: 'Renames a wall, chooses its rooms, and whether it may acknowledge',
        params: api.idParams,
        body: api.changeWall,
        response: answers({ 200: api.wallView }),
      },
    },
    async (request) => {
      const before = walls.get(request.params.id);
      const after = walls.change(request.params.id, request.body);
      // Its stream begins anew with the rooms it may show now.
      doors.shutOut();
      journal.write(doors.doer(request), 'change-wall', before.name, before, after);
      return after;
    },
  );

  app.post(
    '/:id/revoke',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'revokeWall',
        summary: 'Shuts a wall out at once',
        params: api.idParams,
        body: api.nothing,
        response: answers({ 200: api.done }),
      },
    },
    async (request) => {
      const before = walls.get(request.params.id);
      walls.revoke(request.params.id);
      doors.shutOut();
      journal.write(doors.doer(request), 'revoke-wall', before.name, before);
      return { done: true } as const;
    },
  );
};
