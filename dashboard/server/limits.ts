import type { FastifyInstance } from 'fastify';

declare module 'fastify' {
  interface FastifyContextConfig {
    /** May be put off when the process is short of time; everything else is always answered. */
    mayWait?: boolean;
  }
}

/** Changes from one address in a minute: far above what hands do, far below what would hurt. */
export const changes = { rateLimit: { max: 300, timeWindow: 60_000 } };
/** Acknowledging is never locked out by other work, so it is counted apart. */
export const alarmChanges = { rateLimit: { max: 600, timeWindow: 60_000, groupId: 'alarms' } };

/** What every POST without a limit of its own would get, so that none is forgotten. */
export function checkEveryChangeIsLimited(app: FastifyInstance): void {
  app.addHook('onRoute', ({ method, url, config }) => {
    const methods = [method].flat();
    if (methods.every((name) => name === 'GET' || name === 'HEAD')) return;
    if (config?.rateLimit === undefined)
      throw new Error(`route ${methods} ${url} takes changes without a limit`);
  });
}
