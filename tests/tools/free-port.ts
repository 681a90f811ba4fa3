import { createServer } from 'node:net';

/** Below what Linux gives out by itself (from 32768 on): no connection that is made meanwhile takes such a port. */
const [lowest, count] = [20_000, 12_000];
// Test files that run at once are processes of their own, which begin far from each other.
let tried = (process.pid * 97) % count;

/** A port that was free a moment ago, and that neither the system nor another call gives out for now. */
export async function freePort(): Promise<number> {
  for (;;) {
    tried = (tried + 1) % count;
    const port = lowest + tried;
    const free = await new Promise<boolean>((resolve) => {
      const server = createServer();
      server.once('error', () => resolve(false));
      server.listen(port, '127.0.0.1', () => server.close(() => resolve(true)));
    });
    if (free) return port;
  }
}
