import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { nuisanceQuery } from '../../../shared/api/alarms.ts';
import { siteParams } from '../../../shared/api/sites.ts';
import { backTest, backTestQuestion, limitedBand, nuisance, saveLimits } from '../../../shared/tuning.ts';
import type { ServerContext } from '../context.ts';
import { whoOf } from '../doors/who.ts';
import { changes } from '../limits.ts';
import { answers } from '../schemas.ts';

const tags = ['alarms'];

/** What alarms cost people, and limits with their consequences in sight. */
export const tuningRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.get(
    '/alarms/nuisance',
    {
      config: { mayWait: true },
      schema: {
        tags,
        operationId: 'getNuisance',
        summary: 'How often alarms rang, floods, chattering, stale ones and those that rang most',
        params: siteParams,
        querystring: nuisanceQuery,
        response: answers({ 200: nuisance }),
      },
    },
    async (request) => site(request.params.site, request).tuning.nuisance(request.query),
  );

  app.get(
    '/limits',
    {
      schema: {
        tags,
        operationId: 'getLimits',
        summary: 'Every band of limits with what the farm file says, what holds, and the alarms it makes',
        params: siteParams,
        response: answers({ 200: z.array(limitedBand) }),
      },
    },
    async (request) => site(request.params.site, request).tuning.limits(),
  );

  app.post(
    '/limits/back-test',
    {
      config: { ...changes, mayWait: true },
      schema: {
        tags,
        operationId: 'backTestLimits',
        summary: 'Replays recorded readings through limits as they are and as they would be; changes nothing',
        params: siteParams,
        body: backTestQuestion,
        response: answers({ 200: backTest }),
      },
    },
    async (request) => site(request.params.site, request).tuning.backTest(request.body),
  );

  app.post(
    '/limits',
    {
      config: changes,
      schema: {
        tags,
        operationId: 'saveLimits',
        summary: 'Writes limits into the farm file, unless somebody changed them since they were read',
        params: siteParams,
        body: saveLimits,
        response: answers({ 200: limitedBand }),
      },
    },
    async (request) => {
      const who = whoOf(request, request.body.who);
      return site(request.params.site, request).tuning.save({ ...request.body, who });
    },
  );
};
