import type { FastifyRequest } from 'fastify';
import type { SiteName } from '../../shared/api/sites.ts';
import type { SiteKind } from '../../shared/live.ts';
import type { SiteDesk, TrainingDesk } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';
import type { Streams } from './stream/streams.ts';

/** What routes work with. */
export interface ServerContext {
  live: SiteDesk;
  training: TrainingDesk;
  kind: SiteKind;
  clock: Clock;
  streams: Streams;
  /** What of a site whoever asks may see. Throws AppError 'not-found' while no training run is open. */
  site: (name: SiteName, request: Pick<FastifyRequest, 'actor'>) => SiteDesk;
}
