import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { deliverySteps, people, tryChannelRequest } from '../../../shared/api/delivery.ts';
import { siteParams } from '../../../shared/api/sites.ts';
import type { ServerContext } from '../context.ts';
import { whoOf } from '../doors/who.ts';
import { knocks } from '../limits.ts';
import { answers } from '../schemas.ts';

const tags = ['alarms'];

/** People who are told of alarms, and trying the ways to reach them. */
export const deliveryRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.get(
    '/people',
    {
      schema: {
        tags,
        operationId: 'getPeopleTold',
        summary: 'People of the farm file with their channels, without addresses',
        params: siteParams,
        response: answers({ 200: people }),
      },
    },
    async (request) => site(request.params.site, request).delivery.people(),
  );

  app.post(
    '/people/try',
    {
      config: knocks,
      schema: {
        tags,
        operationId: 'tryChannel',
        summary: 'Sends a test message to a person by one channel and answers what happened, step by step',
        params: siteParams,
        body: tryChannelRequest,
        response: answers({ 200: deliverySteps }),
      },
    },
    async (request) => {
      const { person, channel, who } = request.body;
      const desk = site(request.params.site, request).delivery;
      return desk.tryChannel(person, channel, whoOf(request, who));
    },
  );
};
