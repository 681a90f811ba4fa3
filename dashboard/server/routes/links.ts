import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { acknowledgeLinkView } from '../../../shared/alarms.ts';
import { linkParams, useLinkRequest } from '../../../shared/api/delivery.ts';
import type { ServerContext } from '../context.ts';
import { knocks } from '../limits.ts';
import { answers } from '../schemas.ts';

const tags = ['alarms'];

/**
 * Links of messages. Whoever holds one may use it, once, without signing in: it was sent to a person. Mail
 * scanners follow links, so that looking changes nothing; the page behind it asks for a tap.
 */
export const linkRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { live }) => {
  const schema = { tags, params: linkParams, response: answers({ 200: acknowledgeLinkView }) };
  app.get(
    '/:token',
    {
      config: knocks,
      schema: { ...schema, operationId: 'lookAtLink', summary: 'What a link of a message stands for' },
    },
    async ({ params }, reply) => {
      reply.header('cache-control', 'no-store');
      return live.delivery.lookAtLink(params.token);
    },
  );
  app.post(
    '/:token',
    {
      config: knocks,
      schema: {
        ...schema,
        body: useLinkRequest,
        operationId: 'useLink',
        summary: 'Acknowledges by a link of a message, once',
      },
    },
    async ({ params }) => live.delivery.useLink(params.token),
  );
};
