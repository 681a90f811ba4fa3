import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { SMTPServer } from 'smtp-server';

/** A real SMTP server that takes everything and counts messages by their Message-ID. */
export async function startMailSink() {
  const taken = new Map<string, number>();
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS', 'AUTH'],
    disableReverseLookup: true,
    onData(stream, _session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk) => chunks.push(chunk));
      stream.on('end', () => {
        const id = /^message-id:\s*(<[^>]+>)/im.exec(Buffer.concat(chunks).toString())?.[1] ?? 'none';
        taken.set(id, (taken.get(id) ?? 0) + 1);
        done();
      });
    },
  });
  // A client that is killed leaves its connection in pieces.
  server.on('error', () => {});
  server.listen(0, '127.0.0.1');
  await once(server.server, 'listening');
  return {
    port: (server.server.address() as AddressInfo).port,
    taken,
    close: () => new Promise<void>((resolve) => server.close(() => resolve())),
  };
}
