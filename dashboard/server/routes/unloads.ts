import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { recorded } from '../../../shared/api/batches.ts';
import { siteParams } from '../../../shared/api/sites.ts';
import { roomParams, unloadAct, unloadList, unloadParams } from '../../../shared/api/unloads.ts';
import { roomPage, unloadDetail, unloadPlan, unloadQuestion } from '../../../shared/unloads.ts';
import type { ServerContext } from '../context.ts';
import { whoOf } from '../doors/who.ts';
import { changes, questions } from '../limits.ts';
import { answers } from '../schemas.ts';

const tags = ['unloads'];

/** Hot loads before, during and after, and the rooms that they heat. */
export const unloadRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.post(
    '/unloads/plan',
    {
      config: { ...questions, mayWait: true },
      schema: {
        tags,
        operationId: 'planUnload',
        summary: 'What a hot load would do to a room and to what stands there; changes nothing',
        params: siteParams,
        body: unloadQuestion,
        response: answers({ 200: unloadPlan }),
      },
    },
    async (request) => site(request.params.site, request).unloads.plan(request.body),
  );

  app.get(
    '/unloads',
    {
      config: { mayWait: true },
      schema: {
        tags,
        operationId: 'listUnloads',
        summary: 'Every unload, the newest first, with how well its peak was foretold',
        params: siteParams,
        response: answers({ 200: unloadList }),
      },
    },
    async (request) => site(request.params.site, request).unloads.list(),
  );

  app.get(
    '/unloads/:id',
    {
      config: { mayWait: true },
      schema: {
        tags,
        operationId: 'getUnload',
        summary: 'An unload: its plan, how it goes, what happened to it, and what came of it',
        params: unloadParams,
        response: answers({ 200: unloadDetail }),
      },
    },
    async (request) => site(request.params.site, request).unloads.unload(request.params.id),
  );

  app.post(
    '/unloads/events',
    {
      config: changes,
      schema: {
        tags,
        operationId: 'recordUnload',
        summary: 'Records what happened to an unload; the same id twice is stored once',
        params: siteParams,
        body: unloadAct,
        response: answers({ 201: recorded }),
      },
    },
    async (request, reply) => {
      const { body } = request;
      site(request.params.site, request).unloads.record({ ...body, who: whoOf(request, body.who) });
      return reply.code(201).send({ id: body.id });
    },
  );

  app.get(
    '/rooms/:id',
    {
      config: { mayWait: true },
      schema: {
        tags,
        operationId: 'getRoom',
        summary: 'What is known of a room as a body of air and walls, and its unloads',
        params: roomParams,
        response: answers({ 200: roomPage }),
      },
    },
    async (request) => site(request.params.site, request).unloads.room(request.params.id),
  );
};
