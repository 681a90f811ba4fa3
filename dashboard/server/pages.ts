import { existsSync } from 'node:fs';
import { join } from 'node:path';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { KnownMethods } from './methods.ts';
import { sendProblem } from './problems.ts';

const yearS = 31_536_000;
/** Built files carry a hash of their content in their name. */
const hashed = /\/assets\/.+-[\w-]{8}\.\w+$/;

/** The screens: built files, and the one page for every path that a screen may have. */
export async function addPages(app: FastifyInstance, webRoot: string, methods: KnownMethods): Promise<void> {
  const built = () => existsSync(join(webRoot, 'index.html'));
  if (built())
    await app.register(fastifyStatic, {
      root: webRoot,
      cacheControl: false,
      dotfiles: 'ignore',
      schemaHide: true,
      setHeaders: (reply, path) => {
        const kept = hashed.test(path.replaceAll('\\', '/'));
        reply.header('cache-control', kept ? `public, max-age=${yearS}, immutable` : 'no-cache');
      },
    });

  app.setNotFoundHandler((request, reply) => {
    const { method } = request;
    const path = request.url.split('?', 1)[0]!;
    const page = isPage(path, request.headers.accept);
    const known = methods.allowedAt(path);
    const allowed = known.length === 0 && page ? ['GET', 'HEAD'] : known;
    const where = path.slice(0, 200);
    if (allowed.length > 0 && !allowed.includes(method)) {
      const detail = `${where} does not take ${method}, only ${allowed.join(', ')}.`;
      reply.header('allow', allowed.join(', '));
      return sendProblem(request, reply, { status: 405, code: 'bad-request', detail });
    }
    if (!page) {
      const detail = `There is nothing at ${method} ${where}; /api/openapi.json lists what there is.`;
      return sendProblem(request, reply, { status: 404, code: 'not-found', detail });
    }
    if (!built()) return sendProblem(request, reply, { status: 503, code: 'unavailable', detail: notBuilt });
    return sendIndex(reply);
  });
}

const sendIndex = (reply: FastifyReply): FastifyReply => reply.sendFile('index.html');

const notBuilt = 'The screens are not built yet: run npm run build and start again.';

/** A path that a person may have opened or bookmarked; a file or an API path that is missing stays missing. */
function isPage(path: string, accept = '*/*'): boolean {
  const isFile = /\.[A-Za-z0-9]{1,8}$/.test(path);
  return /text\/html|\*\/\*/.test(accept) && !isFile && !path.startsWith('/api');
}
