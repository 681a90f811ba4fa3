import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { strainPage, strainParams } from '../../../shared/api/strains.ts';
import type { ServerContext } from '../context.ts';
import { answers } from '../schemas.ts';

/** What was learned of a strain, and how well its batches were forecast. */
export const strainRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.get(
    '/strains/:id',
    {
      config: { mayWait: true },
      schema: {
        tags: ['bags'],
        operationId: 'getStrain',
        summary: 'A strain: learned traits, scores of its forecasts, finished batches, temperature response',
        params: strainParams,
        response: answers({ 200: strainPage }),
      },
    },
    async (request) => site(request.params.site, request).strain(request.params.id),
  );
};
