import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { foundTopics } from '../../../shared/api/found.ts';
import { siteParams } from '../../../shared/api/sites.ts';
import type { ServerContext } from '../context.ts';
import { answers } from '../schemas.ts';

/** What is on the broker and not yet on the farm. */
export const foundRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.get(
    '/found',
    {
      schema: {
        tags: ['farm'],
        operationId: 'getFound',
        summary: 'Topics that nobody placed, and payloads that cannot be used',
        params: siteParams,
        response: answers({ 200: foundTopics }),
      },
    },
    async (request) => site(request.params.site, request).found(),
  );
};
