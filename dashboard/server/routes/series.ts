import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { seriesQuery } from '../../../shared/api/series.ts';
import { siteParams } from '../../../shared/api/sites.ts';
import { series } from '../../../shared/readings.ts';
import type { ServerContext } from '../context.ts';
import { answers } from '../schemas.ts';

/** Readings of the past. */
export const seriesRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.get(
    '/series',
    {
      config: { mayWait: true },
      schema: {
        tags: ['readings'],
        operationId: 'getSeries',
        summary: 'One channel over a span, raw or in buckets',
        params: siteParams,
        querystring: seriesQuery,
        response: answers({ 200: series }),
      },
    },
    async (request) => site(request.params.site, request).series(request.query),
  );
};
