import type { FastifyInstance, FastifyRequest } from 'fastify';
import { AppError } from '../../shared/errors.ts';

const loopbackNames = ['localhost', '127.0.0.1', '[::1]'];
const halfYearS = 15_724_800;
const safeMethods = new Set(['GET', 'HEAD', 'OPTIONS']);

/** Host without its port, in lower case: `[::1]:8080` -> `[::1]`. */
export function hostName(host: string): string {
  return host.toLowerCase().replace(/:\d*$/, '').replace(/\.$/, '');
}

/**
 * What every request must pass. The Host header must name this server, or a page elsewhere could reach it
 * by pointing its own name here (DNS rebinding). A change must come from our own pages, or from a program
 * that is no browser, and must be JSON, which a form on another page cannot send.
 */
export function addGuards(app: FastifyInstance, hostNames: readonly string[] = []): void {
  const allowed = new Set([...loopbackNames, ...hostNames.map(hostName)]);
  app.removeContentTypeParser('text/plain');
  app.addHook('onRequest', async (request, reply) => {
    // Said over TLS alone, where a browser heeds it (RFC 6797, 7.2): on plain http it would lock people out.
    if (request.protocol === 'https') reply.header('strict-transport-security', `max-age=${halfYearS}`);
    // What is said of a farm is for whoever asked, now; it must not be found in a browser after signing out.
    if (isApi(request.url))
      reply.headers({
        'cache-control': 'no-store',
        // Nothing that it says is drawn as a page, whatever it holds (OWASP ASVS 4.0.3, 14.4.2).
        'content-disposition': 'attachment; filename="api.json"',
      });
    checkHost(request, allowed);
    // What reaches no route changes nothing; its answer says what would.
    if (safeMethods.has(request.method) || request.is404) return checkReader(request);
    checkOrigin(request);
    checkJson(request);
  });
}

function checkHost({ headers, host }: FastifyRequest, allowed: ReadonlySet<string>): void {
  if (allowed.has(hostName(headers.host ?? ''))) return;
  throw new AppError(
    'refused',
    `This server does not answer under the name ${JSON.stringify((host ?? '').slice(0, 100))}; open it as ${[...allowed].join(', ')}.`,
  );
}

const isApi = (url: string): boolean => url.startsWith('/api');

/** What our API answers is read by our own pages and by programs; a link elsewhere may lead to it, a script may not. */
function checkReader({ url, headers }: FastifyRequest): void {
  const elsewhere = headers['sec-fetch-site'] === 'cross-site' || headers['sec-fetch-site'] === 'same-site';
  if (!isApi(url) || !elsewhere || headers['sec-fetch-mode'] === 'navigate') return;
  throw new AppError('refused', 'This is only read by the pages of this server itself, not by another page.');
}

function checkOrigin({ headers, protocol }: FastifyRequest): void {
  const site = headers['sec-fetch-site'];
  const ownSite = site === undefined || site === 'same-origin' || site === 'none';
  const ownOrigin = headers.origin === undefined || headers.origin === `${protocol}://${headers.host}`;
  if (ownSite && ownOrigin) return;
  throw new AppError(
    'refused',
    'A change is only taken from the pages of this server itself, not from another page.',
  );
}

function checkJson({ headers }: FastifyRequest): void {
  if (/^application\/json\s*(;|$)/i.test(headers['content-type'] ?? '')) return;
  throw Object.assign(new Error('not JSON'), { statusCode: 415, code: 'FST_ERR_CTP_INVALID_MEDIA_TYPE' });
}
