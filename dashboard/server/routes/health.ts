import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { health } from '../../../shared/api/health.ts';
import type { ServerContext } from '../context.ts';
import { openMetricsType, type ServerMetrics } from '../metrics.ts';
import { answers, textAnswer } from '../schemas.ts';

const tags = ['health'];

/** For whoever watches the watcher. */
export const healthRoutes: FastifyPluginAsyncZod<ServerContext & { metrics: ServerMetrics }> = async (
  app,
  { live, kind, clock, metrics },
) => {
  app.get(
    '/health',
    {
      schema: {
        tags,
        operationId: 'getHealth',
        summary: 'State of every part; status 503 when one has failed',
        response: answers({ 200: health, 503: health }),
      },
    },
    async (_, reply) => {
      const { parts } = live.live();
      const worst = (['failed', 'waiting', 'ok'] as const).find((state) =>
        parts.some((part) => part.state === state),
      );
      const status = worst ?? 'ok';
      return reply.code(status === 'failed' ? 503 : 200).send({ status, kind, now: clock.now(), parts });
    },
  );

  app.get(
    '/metrics',
    {
      schema: {
        tags,
        operationId: 'getMetrics',
        summary: 'Counts and gauges as OpenMetrics text',
        response: answers({ 200: textAnswer('OpenMetrics text.', openMetricsType) }),
      },
    },
    async (_, reply) => {
      const text = await metrics.textWith(await live.metrics());
      return reply.type(openMetricsType).serializer(String).send(text);
    },
  );
};
