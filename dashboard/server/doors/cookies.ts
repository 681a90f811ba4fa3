import '@fastify/cookie';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { absoluteMs } from './sessions.ts';

type Kind = 'session' | 'wall';

const tenYearsS = 315_360_000;

/**
 * Behind TLS the name begins with `__Host-`, so that a browser takes the cookie from this server alone
 * (RFC 6265bis 4.1.3.2); on plain http, where no browser would take that, it does not.
 */
const nameOf = (kind: Kind, secure: boolean): string => `${secure ? '__Host-' : ''}shelfwarden-${kind}`;

const isSecure = ({ protocol }: FastifyRequest): boolean => protocol === 'https';

export const readCookie = (request: FastifyRequest, kind: Kind): string | undefined =>
  request.cookies[nameOf(kind, isSecure(request))];

export function setCookie(request: FastifyRequest, reply: FastifyReply, kind: Kind, secret: string): void {
  const secure = isSecure(request);
  reply.setCookie(nameOf(kind, secure), secret, {
    path: '/',
    httpOnly: true,
    sameSite: 'lax',
    secure,
    // The server ends both sooner when it must; a wall stays until it is revoked.
    maxAge: kind === 'session' ? absoluteMs / 1_000 : tenYearsS,
  });
}

export function clearCookie(request: FastifyRequest, reply: FastifyReply, kind: Kind): void {
  const secure = isSecure(request);
  reply.clearCookie(nameOf(kind, secure), { path: '/', httpOnly: true, sameSite: 'lax', secure });
}
