import type { AddressInfo, Server } from 'node:net';
import { AppError } from '../../shared/errors.ts';

const portsTried = 20;

/**
 * Listens at `port`, or the next free one of twenty; 0 takes any free port. Returns the port taken.
 * @throws AppError 'port-busy' when none is free or the system refuses.
 */
export async function listenNear(server: Server, host: string, port: number): Promise<number> {
  const last = port === 0 ? 0 : Math.min(port + portsTried - 1, 65_535);
  for (let tried = port; tried <= last; tried++) {
    const problem = await listen(server, host, tried);
    if (problem === undefined) return (server.address() as AddressInfo).port;
    if (problem.code !== 'EADDRINUSE')
      throw new AppError('port-busy', `Cannot listen on ${host}:${tried}: ${problem.message}`, {
        cause: problem,
      });
  }
  throw new AppError(
    'port-busy',
    `All ports from ${port} to ${last} on ${host} are in use. Stop what uses them, or choose another port.`,
  );
}

function listen(server: Server, host: string, port: number): Promise<NodeJS.ErrnoException | undefined> {
  return new Promise((resolve) => {
    const onError = (problem: NodeJS.ErrnoException): void => {
      server.off('listening', onListening);
      resolve(problem);
    };
    const onListening = (): void => {
      server.off('error', onError);
      resolve(undefined);
    };
    server.once('error', onError);
    server.once('listening', onListening);
    server.listen({ host, port });
  });
}
