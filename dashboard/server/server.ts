import cookie from '@fastify/cookie';
import helmet from '@fastify/helmet';
import rateLimit from '@fastify/rate-limit';
import swagger from '@fastify/swagger';
import underPressure from '@fastify/under-pressure';
import fastify, { type FastifyBaseLogger, type FastifyInstance, LogController } from 'fastify';
import { serializerCompiler, validatorCompiler } from 'fastify-type-provider-zod';
import { AppError } from '../../shared/errors.ts';
import type { SiteKind } from '../../shared/live.ts';
import type { SiteDesk, TrainingDesk } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';
import type { ServerContext } from './context.ts';
import { addActJournal } from './doors/act-journal.ts';
import { addDoorCheck } from './doors/check.ts';
import type { Doors } from './doors/doors.ts';
import { addGuards } from './guards.ts';
import { helmetOptions } from './headers.ts';
import { checkEveryChangeIsLimited } from './limits.ts';
import { rememberMethods } from './methods.ts';
import { createServerMetrics } from './metrics.ts';
import { narrowDesk } from './narrow-desk.ts';
import { openApiOptions } from './openapi.ts';
import { addPages } from './pages.ts';
import { handleError, problemOf, sendProblem } from './problems.ts';
import { minVersion } from './renew-tls.ts';
import { alarmRoutes } from './routes/alarms.ts';
import { batchRoutes } from './routes/batches.ts';
import { deliveryRoutes } from './routes/delivery.ts';
import { deviceRoutes } from './routes/doors/devices.ts';
import { entryRoutes } from './routes/doors/entry.ts';
import { doorJournalRoutes } from './routes/doors/journal.ts';
import { peopleRoutes } from './routes/doors/people.ts';
import { scriptRoutes } from './routes/doors/scripts.ts';
import { wallRoutes } from './routes/doors/walls.ts';
import { foundRoutes } from './routes/found.ts';
import { healthRoutes } from './routes/health.ts';
import { linkRoutes } from './routes/links.ts';
import { liveRoutes } from './routes/live.ts';
import { seriesRoutes } from './routes/series.ts';
import { speciesRoutes } from './routes/species.ts';
import { strainRoutes } from './routes/strains.ts';
import { trainingRoutes } from './routes/training.ts';
import { tuningRoutes } from './routes/tuning.ts';
import { unloadRoutes } from './routes/unloads.ts';
import { createStreams } from './stream/streams.ts';

export interface ServerOptions {
  sites: { live: SiteDesk; training: TrainingDesk };
  /** Who may come in. */
  doors: Doors;
  /** Folder of the built screens. */
  webRoot: string;
  clock: Clock;
  log: FastifyBaseLogger;
  /** What the live site is: a farm or the demo. */
  kind: SiteKind;
  /** Names besides those of loopback under which the server may be asked. */
  hostNames?: readonly string[];
  /** Certificate and key, both PEM: the server then speaks https alone. */
  tls?: { cert: string; key: string } | undefined;
  /** Addresses of the proxies whose word about where a request came from is taken. */
  trustedProxies?: readonly string[];
}

const bodyLimit = 64 * 1024;

/** The web server of one collector. Opens no port; see `listenOn`. */
export function createServer(options: ServerOptions): FastifyInstance {
  const { tls, trustedProxies = [] } = options;
  const app = fastify({
    ...(tls === undefined ? {} : { https: { ...tls, minVersion } }),
    trustProxy: trustedProxies.length === 0 ? false : [...trustedProxies],
    loggerInstance: options.log,
    logController: new LogController({ disableRequestLogging: true }),
    bodyLimit,
    // Open streams must not hold the process when it is to end.
    forceCloseConnections: true,
    requestTimeout: 30_000,
    // A slow machine may take longer than the ten seconds that are the rule; it is no fault.
    pluginTimeout: 120_000,
    frameworkErrors: (error, request, reply) => sendProblem(request, reply, problemOf(error, request)),
  });
  app.register(shelfwarden, options);
  return app;
}

/** The whole app as one plugin: what guards it, then its routes one by one. */
async function shelfwarden(app: FastifyInstance, options: ServerOptions): Promise<void> {
  const { sites, doors, clock, kind } = options;
  const deskOf = (name: 'farm' | 'training') => (name === 'farm' ? sites.live : sites.training.site());
  const streams = createStreams({ deskOf, clock, doors });
  const context: ServerContext = {
    ...sites,
    kind,
    clock,
    streams,
    site(name, { actor }) {
      const desk = deskOf(name);
      if (desk === undefined)
        throw new AppError(
          'not-found',
          'No training run is open; start one first (POST /api/training/start).',
        );
      return actor.kind === 'wall' && actor.rooms !== null ? narrowDesk(desk, actor.rooms) : desk;
    },
  };
  const metrics = createServerMetrics(streams.count);

  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);
  app.setErrorHandler(handleError);
  app.addHook('preClose', async () => streams.close());

  await app.register(helmet, helmetOptions);
  await app.register(cookie);
  addGuards(app, options.hostNames);
  addDoorCheck(app, doors);
  addActJournal(app, doors);
  await app.register(underPressure, {
    maxEventLoopDelay: 1_500,
    pressureHandler: (request, reply) => {
      if (request.routeOptions.config.mayWait) reply.code(503).send(new AppError('unavailable', busy));
    },
  });
  await app.register(rateLimit, { global: false, errorResponseBuilder: tooMany });
  await app.register(swagger, openApiOptions);
  checkEveryChangeIsLimited(app);
  const methods = rememberMethods(app);
  metrics.watch(app);

  for (const routes of [
    liveRoutes,
    seriesRoutes,
    batchRoutes,
    alarmRoutes,
    tuningRoutes,
    unloadRoutes,
    strainRoutes,
    speciesRoutes,
    foundRoutes,
    deliveryRoutes,
  ])
    await app.register(routes, { prefix: '/api/sites/:site', ...context });
  await app.register(linkRoutes, { prefix: '/api/acknowledge', ...context });
  await app.register(trainingRoutes, { prefix: '/api/training', ...context });
  await app.register(entryRoutes, { prefix: '/api/doors', doors });
  await app.register(peopleRoutes, { prefix: '/api/doors/people', doors });
  await app.register(wallRoutes, { prefix: '/api/doors/walls', doors });
  await app.register(scriptRoutes, { prefix: '/api/doors/scripts', doors });
  await app.register(deviceRoutes, { prefix: '/api/doors/devices', doors });
  await app.register(doorJournalRoutes, { prefix: '/api/doors', doors });
  await app.register(healthRoutes, { ...context, metrics });
  app.get('/api/openapi.json', { schema: { hide: true } }, async () => app.swagger());
  await addPages(app, options.webRoot, methods);
}

const busy = 'Busy just now; alarms go on. Try again in a few seconds.';

const tooMany = (_: unknown, { max, after }: { max: number; after: string }): Error =>
  Object.assign(new Error(`More than ${max} changes in a minute from this address; wait ${after}.`), {
    statusCode: 429,
  });
