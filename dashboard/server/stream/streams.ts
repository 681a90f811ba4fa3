import type { FastifyReply, FastifyRequest } from 'fastify';
import type { SiteName } from '../../../shared/api/sites.ts';
import { heartbeatMs } from '../../../shared/api/stream.ts';
import type { Actor } from '../../../shared/doors.ts';
import { AppError } from '../../../shared/errors.ts';
import type { SiteDesk } from '../../../shared/ports.ts';
import type { Clock } from '../../../shared/time.ts';
import type { Doors } from '../doors/doors.ts';
import { narrowDesk } from '../narrow-desk.ts';
import { type Client, createClient } from './client.ts';
import { createFeed, type Feed, frameText } from './feed.ts';

const mostStreams = 200;
/** A browser left to itself comes back this soon. */
const retryMs = 2_000;

interface Deps {
  /** Who may stay; asked again whenever somebody was shut out, and at each heartbeat. */
  doors: Pick<Doors, 'goesOn' | 'onShutOut'>;
  deskOf: (site: SiteName) => SiteDesk | undefined;
  clock: Clock;
}

/** The open event streams of all sites. */
export function createStreams({ deskOf, clock, doors }: Deps) {
  const name = clock.now().toString(36);
  const feeds = new Map<string, Feed>();
  const clients = new Map<Client, Actor>();

  /** Walls of the same rooms share a feed; one that nobody listens to any more is given up. */
  const feedOf = (site: SiteName, actor: Actor): Feed => {
    const rooms = actor.kind === 'wall' ? actor.rooms : null;
    const key = rooms === null ? site : `${site} ${[...rooms].sort().join(' ')}`;
    const there = feeds.get(key);
    if (there !== undefined) return there;
    for (const [other, feed] of feeds)
      if (other.includes(' ') && feed.isIdle()) {
        feed.close();
        feeds.delete(other);
      }
    const desk = () => {
      const whole = deskOf(site);
      return whole === undefined || rooms === null ? whole : narrowDesk(whole, rooms);
    };
    made += 1;
    const feed = createFeed({ desk, name: `${name}${made}` });
    feeds.set(key, feed);
    return feed;
  };
  let made = 0;
  const nobody: Actor = { kind: 'nobody' };
  feedOf('farm', nobody);
  feedOf('training', nobody);

  const refresh = () => feeds.forEach((feed) => void feed.refresh());
  /** Ends the streams of those who may not stay, and of walls, which may have been given other rooms. */
  const look = () => {
    for (const [client, actor] of clients) if (!doors.goesOn(actor) || actor.kind === 'wall') client.end();
  };
  const cancelLook = doors.onShutOut(look);
  const cancelBeat = clock.every(heartbeatMs, () => {
    refresh();
    const text = frameText('heartbeat', { now: clock.now() });
    for (const [client, actor] of clients)
      if (doors.goesOn(actor)) client.beat(text);
      else client.end();
  });

  return {
    /** Answers with a stream that stays open. Throws AppError 'unavailable' when there are too many. */
    open(site: SiteName, request: FastifyRequest, reply: FastifyReply): void {
      if (clients.size >= mostStreams)
        throw new AppError(
          'unavailable',
          `There are ${mostStreams} open streams already; close some screens.`,
        );
      const feed = feedOf(site, request.actor);
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
      clients.set(client, request.actor);
      const lastId = request.headers['last-event-id'];
      raw.write(`retry: ${retryMs}\n\n${feed.opening(typeof lastId === 'string' ? lastId : undefined)}`);
    },
    /** Call when a training run has started or stopped, so that screens need not wait for a heartbeat. */
    refresh,
    count: () => clients.size,
    close() {
      cancelBeat();
      cancelLook();
      feeds.forEach((feed) => void feed.close());
      for (const client of clients.keys()) client.end();
    },
  };
}

export type Streams = ReturnType<typeof createStreams>;
