import type { FastifyInstance } from 'fastify';
import { AppError, messageOf } from '../../shared/errors.ts';

export interface Listening {
  /** Address to open: `http://127.0.0.1:8080`. */
  url: string;
  port: number;
  /** The port that was asked for, when it was busy and another was taken. */
  movedFrom: number | null;
}

const triesAtMost = 20;

/** Loopback addresses by what they are listened on as, or undefined for an address others can reach. */
function loopback(host: string): string | undefined {
  const name = host.toLowerCase().replace(/^\[(.*)\]$/, '$1');
  if (name === 'localhost') return '127.0.0.1';
  return name === '::1' || /^127(?:\.\d{1,3}){3}$/.test(name) ? name : undefined;
}

/** Whether only this machine can reach an address. */
export const isLoopback = (host: string): boolean => loopback(host) !== undefined;

/**
 * Opens the port. On loopback only, unless `closedToStrangers`: everybody who comes must sign in. A busy port moves to the next free one; port 0 takes any.
 * @throws AppError 'refused' for another address or a port that is not allowed, 'port-busy' when twenty
 * ports in a row are busy.
 */
export async function listenOn(
  app: FastifyInstance,
  { host, port, closedToStrangers = false }: { host: string; port: number; closedToStrangers?: boolean },
): Promise<Listening> {
  const address = loopback(host) ?? (closedToStrangers ? host : undefined);
  if (address === undefined)
    throw new AppError(
      'refused',
      `Not listening on ${host}: nobody is set up who would have to sign in. ` +
        'Add the first person on this machine (shelfwarden person add NAME --role admin), then start again.',
    );
  await app.ready();
  const scheme = 'setSecureContext' in app.server ? 'https' : 'http';
  const last = port === 0 ? 0 : Math.min(65_535, port + triesAtMost - 1);
  for (let attempt = port; attempt <= last; attempt++) {
    const taken = await tryPort(app, address, attempt);
    if (taken === undefined) continue;
    const shown = address.includes(':') ? `[${address}]` : address;
    return { url: `${scheme}://${shown}:${taken}`, port: taken, movedFrom: attempt === port ? null : port };
  }
  throw new AppError(
    'port-busy',
    `Ports ${port} to ${last} are all in use; stop what uses them or name another with --port.`,
  );
}

/** The port that was opened, or undefined when it is busy. */
async function tryPort(app: FastifyInstance, host: string, port: number): Promise<number | undefined> {
  try {
    await app.listen({ host, port, listenTextResolver: () => '' });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === 'EADDRINUSE') return undefined;
    if (code === 'EACCES')
      throw new AppError(
        'refused',
        `Port ${port} needs rights this process does not have; use one above 1023.`,
        { cause: error },
      );
    throw new AppError('unavailable', `Port ${port} on ${host} cannot be opened: ${messageOf(error)}.`, {
      cause: error,
    });
  }
  const opened = app.server.address();
  return typeof opened === 'object' && opened !== null ? opened.port : port;
}
