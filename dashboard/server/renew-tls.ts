import type { Server } from 'node:https';
import type { FastifyInstance } from 'fastify';

export const minVersion = 'TLSv1.2';

/** Takes a renewed certificate, PEM, into use for connections from now on; those that are open stay. */
export function renewTls(app: FastifyInstance, { cert, key }: { cert: string; key: string }): void {
  (app.server as unknown as Server).setSecureContext({ cert, key, minVersion });
}
