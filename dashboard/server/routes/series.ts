import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { seriesQuery } from '../../../shared/api/series.ts';
import { shelfAirQuery, shelfParams } from '../../../shared/api/shelf-air.ts';
import { siteParams } from '../../../shared/api/sites.ts';
import { shelfAirSeries } from '../../../shared/forecasts.ts';
import { series } from '../../../shared/readings.ts';
import type { ServerContext } from '../context.ts';
import { answers } from '../schemas.ts';

/** Readings of the past, and the air that forecasts make of them. */
export const seriesRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.get(
    '/series',
    {
      config: { mayWait: true },
      schema: {
        tags: ['readings'],
        operationId: 'getSeries',
        summary: 'One channel over a span, raw or in buckets',
        description:
          'Of a cooler (quantity cooler-on) always in buckets: the % of each for which it ran, as far as it is known, with min, max and last the same and count 1.',
        params: siteParams,
        querystring: seriesQuery,
        response: answers({ 200: series }),
      },
    },
    async (request) => site(request.params.site, request).series(request.query),
  );

  app.get(
    '/shelves/:shelf/air',
    {
      config: { mayWait: true },
      schema: {
        tags: ['readings'],
        operationId: 'getShelfAir',
        summary: 'Air at a shelf as forecasts take it: measured, from a neighbour, or filled, and how sure',
        params: shelfParams,
        querystring: shelfAirQuery,
        response: answers({ 200: shelfAirSeries }),
      },
    },
    async (request) => {
      const { site: name, shelf } = request.params;
      return site(name, request).shelfAir({ shelf, ...request.query });
    },
  );
};
