import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { batchDetail, batchParams, cohortParams, recorded } from '../../../shared/api/batches.ts';
import { siteParams } from '../../../shared/api/sites.ts';
import { bagEvent } from '../../../shared/bags.ts';
import { AppError } from '../../../shared/errors.ts';
import { cohortCurve } from '../../../shared/forecasts.ts';
import type { ServerContext } from '../context.ts';
import { whoOf } from '../doors/who.ts';
import { changes } from '../limits.ts';
import { answers } from '../schemas.ts';

const tags = ['bags'];

/** Batches, their curves, and the events that make them. */
export const batchRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.get(
    '/batches/:id',
    {
      schema: {
        tags,
        operationId: 'getBatch',
        summary: 'A batch and all its events',
        params: batchParams,
        response: answers({ 200: batchDetail }),
      },
    },
    async (request) => {
      const { params } = request;
      const batch = site(params.site, request).batch(params.id);
      if (batch === undefined)
        throw new AppError('not-found', `There is no batch ${params.id}; its label may be of another farm.`);
      return batch;
    },
  );

  app.get(
    '/cohorts/:batch/:bag/curve',
    {
      config: { mayWait: true },
      schema: {
        tags,
        operationId: 'getCurve',
        summary: 'Growth curve of the bags of a batch that share shelf and history, past and ahead',
        params: cohortParams,
        response: answers({ 200: cohortCurve }),
      },
    },
    async (request) => {
      const { site: name, batch, bag } = request.params;
      return site(name, request).curve(`${batch}/${bag}`);
    },
  );

  app.post(
    '/events',
    {
      config: changes,
      schema: {
        tags,
        operationId: 'recordEvent',
        summary: 'Records what was done to bags; the same id twice is stored once',
        params: siteParams,
        body: bagEvent,
        response: answers({ 201: recorded }),
      },
    },
    async (request, reply) => {
      const { body } = request;
      site(request.params.site, request).record({ ...body, who: whoOf(request, body.who) });
      return reply.code(201).send({ id: body.id });
    },
  );
};
