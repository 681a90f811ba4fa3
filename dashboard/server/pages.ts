import { existsSync } from 'node:fs';
import { join } from 'node:path';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { sendProblem } from './problems.ts';

const yearS = 31_536_000;
/** Built files carry a hash of their content in their name. */
const hashed = /\/assets\/.+-[\w-]{8}\.\w+$/;

/** The screens: built files, and the one page for every path that a screen may have. */
export async function addPages(app: FastifyInstance, webRoot: string): Promise<void> {
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
    if (!isPage(request))
      return sendProblem(request, reply, { status: 404, code: 'not-found', detail: nothingAt(request) });
    if (!built()) return sendProblem(request, reply, { status: 503, code: 'unavailable', detail: notBuilt });
    return sendIndex(reply);
  });
}

const sendIndex = (reply: FastifyReply): FastifyReply => reply.sendFile('index.html');

const notBuilt = 'The screens are not built yet: run npm run build and start again.';

/** A path that a person may have opened or bookmarked; a file or an API path that is missing stays missing. */
function isPage({ method, url, headers }: FastifyRequest): boolean {
  const path = url.split('?', 1)[0]!;
  const isFile = /\.[A-Za-z0-9]{1,8}$/.test(path);
  const wantsPage = /text\/html|\*\/\*/.test(headers.accept ?? '*/*');
  return (method === 'GET' || method === 'HEAD') && wantsPage && !isFile && !path.startsWith('/api');
}

const nothingAt = ({ method, url }: FastifyRequest): string =>
  `There is nothing at ${method} ${url.split('?', 1)[0]!.slice(0, 200)}; /api/openapi.json lists what there is.`;
