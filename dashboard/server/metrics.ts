import type { FastifyInstance } from 'fastify';
import { Gauge, Histogram, Registry } from 'prom-client';

export const openMetricsType = Registry.OPENMETRICS_CONTENT_TYPE;

/** What the server counts of itself, in a registry of its own. */
export function createServerMetrics(streams: () => number) {
  const registry = new Registry<typeof Registry.OPENMETRICS_CONTENT_TYPE>();
  registry.setContentType(openMetricsType);
  const registers = [registry];
  const requests = new Histogram({
    name: 'shelfwarden_http_request_seconds',
    help: 'Time from request to answer.',
    labelNames: ['method', 'route', 'status'],
    buckets: [0.001, 0.005, 0.025, 0.1, 0.5, 2.5],
    registers,
  });
  new Gauge({
    name: 'shelfwarden_streams',
    help: 'Screens that follow the live state.',
    registers,
    collect() {
      this.set(streams());
    },
  });

  return {
    watch(app: FastifyInstance): void {
      app.addHook('onResponse', async ({ method, routeOptions }, reply) => {
        const labels = { method, route: routeOptions.url ?? 'none', status: reply.statusCode };
        requests.observe(labels, reply.elapsedTime / 1_000);
      });
    },
    /** The texts of both registries as one: OpenMetrics ends once. */
    async textWith(siteText: string): Promise<string> {
      const texts = [siteText, await registry.metrics()].map((text) =>
        text.replace(/\n?# EOF\s*$/, '').trim(),
      );
      return `${texts.filter((text) => text !== '').join('\n')}\n# EOF\n`;
    },
  };
}

export type ServerMetrics = ReturnType<typeof createServerMetrics>;
