import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import * as api from '../../../../shared/api/doors.ts';
import type { Doors } from '../../doors/doors.ts';
import { doorChanges } from '../../limits.ts';
import { answers } from '../../schemas.ts';

const tags = ['doors'];

/** Keys for programs that read or record. */
export const scriptRoutes: FastifyPluginAsyncZod<{ doors: Doors }> = async (app, { doors }) => {
  const { scripts, journal } = doors;

  app.get(
    '',
    {
      schema: {
        tags,
        operationId: 'getScripts',
        summary: 'Every key: its name, what it may do, when it was last used and when it ends',
        response: answers({ 200: api.scripts }),
      },
    },
    async () => scripts.list(),
  );

  app.post(
    '',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'makeScript',
        summary: 'Makes a key; it is in this answer and can be read nowhere afterwards',
        body: api.makeScript,
        response: answers({ 201: api.madeScript }),
      },
    },
    async (request, reply) => {
      const { name, scopes, days } = request.body;
      const doer = doors.doer(request);
      const made = scripts.make(name, scopes, days, doer.who);
      journal.write(doer, 'make-script', name, null, { scopes, days });
      return reply.code(201).send(made);
    },
  );

  app.post(
    '/:id/revoke',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'revokeScript',
        summary: 'Ends a key at once',
        params: api.idParams,
        body: api.nothing,
        response: answers({ 200: api.done }),
      },
    },
    async (request) => {
      const script = scripts.revoke(request.params.id);
      doors.shutOut();
      journal.write(doors.doer(request), 'revoke-script', script.name);
      return { done: true } as const;
    },
  );
};
