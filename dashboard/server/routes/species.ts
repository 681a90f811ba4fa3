import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { siteParams } from '../../../shared/api/sites.ts';
import { speciesList } from '../../../shared/api/species.ts';
import type { ServerContext } from '../context.ts';
import { answers } from '../schemas.ts';

/** What is known of the species that a farm grows. */
export const speciesRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.get(
    '/species',
    {
      schema: {
        tags: ['farm'],
        operationId: 'getSpecies',
        summary:
          'Species with what every number rests on (published, practice, this site, assumed), and their strains',
        params: siteParams,
        response: answers({ 200: speciesList }),
      },
    },
    async (request) => site(request.params.site, request).species(),
  );
};
