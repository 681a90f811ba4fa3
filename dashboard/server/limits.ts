import type { FastifyInstance } from 'fastify';

declare module 'fastify' {
  interface FastifyContextConfig {
    /** May be put off when the process is short of time; everything else is always answered. */
    mayWait?: boolean;
  }
}

/** Changes from one address in a minute: far above what hands do, far below what would hurt. */
export const changes = { rateLimit: { max: 300, timeWindow: 60_000 } };
/** Questions that change nothing but cost some reckoning: counted apart, so that asking locks out no recording. */
export const questions = { rateLimit: { max: 300, timeWindow: 60_000, groupId: 'questions' } };
/** Acknowledging is never locked out by other work, so it is counted apart. */
export const alarmChanges = { rateLimit: { max: 600, timeWindow: 60_000, groupId: 'alarms' } };

/** Setting up, signing in, asking to be paired: bounded by address, and apart from alarms. */
export const knocks = { rateLimit: { max: 60, timeWindow: 60_000, groupId: 'knocks' } };
/** A screen that waits for its code to be typed asks every few seconds. */
export const polls = { rateLimit: { max: 120, timeWindow: 60_000, groupId: 'polls' } };
/** Changes to who may enter. */
export const doorChanges = { rateLimit: { max: 60, timeWindow: 60_000, groupId: 'doors' } };

/** What every POST without a limit of its own would get, so that none is forgotten. */
export function checkEveryChangeIsLimited(app: FastifyInstance): void {
  app.addHook('onRoute', ({ method, url, config }) => {
    const methods = [method].flat();
    if (methods.every((name) => name === 'GET' || name === 'HEAD')) return;
    if (config?.rateLimit === undefined)
      throw new Error(`route ${methods} ${url} takes changes without a limit`);
  });
}
