import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** Hears what passes one connection. */
export interface ProxyTap {
  /** From who connected to the proxy. */
  near(chunk: Buffer): void;
  /** From the port behind it. */
  far(chunk: Buffer): void;
}

/** A way to a local port that can be cut, as a network is, and listened to. */
export async function startTcpProxy(targetPort: number, openTap?: () => ProxyTap) {
  const sockets = new Set<Socket>();
  const server = createServer((near) => {
    const far = connect(targetPort, '127.0.0.1');
    for (const [socket, other] of [
      [near, far],
      [far, near],
    ] as const) {
      sockets.add(socket);
      socket.on('error', () => {});
      socket.on('close', () => {
        sockets.delete(socket);
        other.destroy();
      });
    }
    const tap = openTap?.();
    if (tap !== undefined) {
      near.on('data', (chunk) => tap.near(chunk));
      far.on('data', (chunk) => tap.far(chunk));
    }
    near.pipe(far);
    far.pipe(near);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    port: (server.address() as AddressInfo).port,
    /** How many sockets are open, two to a connection. */
    open: (): number => sockets.size,
    /** Ends what runs; new connections pass. */
    cut(): void {
      for (const socket of sockets) socket.destroy();
    },
    async close(): Promise<void> {
      const closed = new Promise((resolve) => server.close(resolve));
      for (const socket of sockets) socket.destroy();
      await closed;
    },
  };
}
