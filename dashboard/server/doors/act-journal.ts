import type { FastifyInstance } from 'fastify';
import type { Doors } from './doors.ts';

/** Routes of the doors write their own lines, with what was so before. */
const writesItself = /^\/api\/doors(\/|$)/;
const safeMethods = new Set(['GET', 'HEAD', 'OPTIONS']);

/** Journals every change that was made through any other route: who, from where, what was asked. */
export function addActJournal(app: FastifyInstance, doors: Doors): void {
  app.addHook('onResponse', async (request, reply) => {
    const { method, routeOptions } = request;
    const { url, schema } = routeOptions;
    if (safeMethods.has(method) || url === undefined || writesItself.test(url) || reply.statusCode >= 400)
      return;
    const { operationId } = (schema ?? {}) as { operationId?: string };
    const params = request.params as Record<string, string>;
    const body = request.body as Record<string, unknown>;
    const doer = doors.doer(request);
    const named = doer.who === '' && typeof body?.who === 'string' ? { ...doer, who: body.who } : doer;
    // The secret of a link stands in its address and is not kept.
    const subject = 'token' in params ? url : Object.values(params).join('/') || url;
    doors.journal.write(named, operationId ?? url, subject, null, body);
  });
}
