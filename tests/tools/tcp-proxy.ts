import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** A way to a local port that can be cut, as a network is. */
export async function startTcpProxy(targetPort: number) {
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
    near.pipe(far);
    far.pipe(near);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    port: (server.address() as AddressInfo).port,
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
