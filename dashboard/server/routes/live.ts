import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { siteParams } from '../../../shared/api/sites.ts';
import { liveState } from '../../../shared/live.ts';
import type { ServerContext } from '../context.ts';
import { answers, textAnswer } from '../schemas.ts';

const tags = ['live'];

/** What is so now, and what changes. */
export const liveRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site, streams }) => {
  app.get(
    '/live',
    {
      schema: {
        tags,
        operationId: 'getLive',
        summary: 'Everything a screen needs at once',
        params: siteParams,
        response: answers({ 200: liveState }),
      },
    },
    async (request) => site(request.params.site, request).live(),
  );

  app.get(
    '/stream',
    {
      exposeHeadRoute: false,
      schema: {
        tags,
        operationId: 'followLive',
        summary: 'Server-sent events: state, then change, heartbeat each 4 s',
        description:
          'Begins with `state` (LiveState), or `absent` while no training run is open; then `change` ' +
          '(LiveChange) as things change. A stream that comes back with Last-Event-ID is sent what it missed.',
        params: siteParams,
        response: answers({ 200: textAnswer('A stream that stays open.', 'text/event-stream') }),
      },
    },
    async (request, reply) => streams.open(request.params.site, request, reply),
  );
};
