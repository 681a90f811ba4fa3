import type { FastifyReply, FastifyRequest } from 'fastify';
import type { SiteName } from '../../../shared/api/sites.ts';
import { heartbeatMs } from '../../../shared/api/stream.ts';
import { AppError } from '../../../shared/errors.ts';
import type { SiteDesk } from '../../../shared/ports.ts';
import type { Clock } from '../../../shared/time.ts';
import { type Client, createClient } from './client.ts';
import { createFeed, frameText } from './feed.ts';

const mostStreams = 200;
/** A browser left to itself comes back this soon. */
const retryMs = 2_000;

interface Deps {
  deskOf: (site: SiteName) => SiteDesk | undefined;
  clock: Clock;
}

/** The open event streams of all sites. */
export function createStreams({ deskOf, clock }: Deps) {
  const name = clock.now().toString(36);
  const feeds = {
    farm: createFeed({ desk: () => deskOf('farm'), name: `${name}f` }),
    training: createFeed({ desk: () => deskOf('training'), name: `${name}t` }),
  };
  const clients = new Set<Client>();

  const refresh = () => Object.values(feeds).forEach((feed) => void feed.refresh());
  const cancelBeat = clock.every(heartbeatMs, () => {
    refresh();
    const text = frameText('heartbeat', { now: clock.now() });
    for (const client of clients) client.beat(text);
  });

  return {
    /** Answers with a stream that stays open. Throws AppError 'unavailable' when there are too many. */
    open(site: SiteName, request: FastifyRequest, reply: FastifyReply): void {
      if (clients.size >= mostStreams)
        throw new AppError(
          'unavailable',
          `There are ${mostStreams} open streams already; close some screens.`,
        );
      const feed = feeds[site];
      feed.refresh();
      reply.hijack();
      const { raw } = reply;
      raw.writeHead(200, {
        'content-type': 'text/event-stream',
        'cache-control': 'no-store',
        'x-accel-buffering': 'no',
      });
      const client = createClient(raw, feed.whole, () => {
        clients.delete(client);
        cancel();
      });
      const cancel = feed.listen(client.send);
      clients.add(client);
      const lastId = request.headers['last-event-id'];
      raw.write(`retry: ${retryMs}\n\n${feed.opening(typeof lastId === 'string' ? lastId : undefined)}`);
    },
    /** Call when a training run has started or stopped, so that screens need not wait for a heartbeat. */
    refresh,
    count: () => clients.size,
    close() {
      cancelBeat();
      Object.values(feeds).forEach((feed) => void feed.close());
      for (const client of clients) client.end();
    },
  };
}

export type Streams = ReturnType<typeof createStreams>;
