import type { FastifyInstance, FastifyRequest } from 'fastify';
import { type Access, type Actor, mayEnter, whoMay } from '../../../shared/doors.ts';
import { AppError } from '../../../shared/errors.ts';
import { accessTable } from './access.ts';
import type { Doors } from './doors.ts';

declare module 'fastify' {
  interface FastifyRequest {
    actor: Actor;
  }
}

const nobody: Actor = { kind: 'nobody' };

/** The built screens themselves hold nothing of the farm, so they are served to anybody. */
const isPage = (url: string | undefined): boolean => url === undefined || url === '/' || url === '/*';

const accessOf = (method: string, url: string): Access | undefined =>
  accessTable[`${method === 'HEAD' ? 'GET' : method} ${url}`];

/** Makes the start fail when a route of the API has no line in the table. */
function checkEveryRouteHasAccess(app: FastifyInstance): void {
  app.addHook('onRoute', ({ method, url }) => {
    for (const name of [method].flat())
      if (!isPage(url) && name !== 'OPTIONS' && url.startsWith('/api') && accessOf(name, url) === undefined)
        throw new Error(`route ${name} ${url} says nowhere who may call it; add it to doors/access.ts`);
  });
}

/** Finds out who calls, and refuses whoever may not, before anything of the request is read. */
export function addDoorCheck(app: FastifyInstance, doors: Doors): void {
  app.decorateRequest('actor');
  checkEveryRouteHasAccess(app);
  app.addHook('onRequest', async (request: FastifyRequest) => {
    const { url } = request.routeOptions;
    request.actor = isPage(url) ? nobody : doors.identify(request);
    if (isPage(url)) return;
    const access = accessOf(request.method, url!);
    if (access === undefined || mayEnter(request.actor, access)) return;
    const { actor } = request;
    if (actor.kind === 'nobody')
      throw new AppError(
        'not-signed-in',
        doors.people.isSetUp() ? 'Sign in first.' : 'Nobody has been set up yet; open the first page.',
      );
    throw new AppError('refused', `${nameOf(actor)} may not do this; ${whoMay(access)} can.`);
  });
}

function nameOf(actor: Actor): string {
  switch (actor.kind) {
    case 'person':
      return `${actor.name} (${actor.role})`;
    case 'wall':
      return `The wall screen ${actor.name}`;
    case 'script':
      return `The key ${actor.name} (${actor.scopes.join(', ')})`;
    default:
      return 'Nobody';
  }
}
