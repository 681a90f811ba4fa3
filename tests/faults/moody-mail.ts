import { once } from 'node:events';
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { SMTPServer } from 'smtp-server';

/** How a mail server behaves for a while. */
export const moods = ['takes', 'later', 'refuses', 'hangs', 'away'] as const;
export type Mood = (typeof moods)[number];

/** A real SMTP server whose mood is set from outside; counts what it took by Message-ID and recipient. */
export async function startMoodyMail() {
  const taken = new Map<string, number>();
  let mood: Mood = 'takes';
  const smtp = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS', 'AUTH'],
    disableReverseLookup: true,
    onData(stream, _session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk) => chunks.push(chunk));
      stream.on('end', () => {
        const refusal = (code: number, text: string) =>
          done(Object.assign(new Error(text), { responseCode: code }));
        if (mood === 'hangs') return;
        if (mood === 'later') return refusal(451, 'come back later');
        if (mood === 'refuses') return refusal(554, 'not here');
        const id = /^message-id:\s*(<[^>]+>)/im.exec(Buffer.concat(chunks).toString())?.[1] ?? 'none';
        taken.set(id, (taken.get(id) ?? 0) + 1);
        done();
      });
    },
  });
  smtp.on('error', () => {});
  // The sockets go through a server of our own, so that the port stays ours while nobody is there.
  const open = new Set<Socket>();
  const door: Server = createServer((socket) => {
    open.add(socket);
    socket.on('close', () => open.delete(socket));
    socket.on('error', () => {});
    if (mood === 'away') socket.destroy();
    else smtp.server.emit('connection', socket);
  });
  door.listen(0, '127.0.0.1');
  await once(door, 'listening');
  return {
    port: (door.address() as AddressInfo).port,
    taken,
    /** Turns it; connections of the mood before are cut where it went away or stopped hanging. */
    turn(next: Mood): void {
      if (next === 'away' || mood === 'hangs') for (const socket of open) socket.destroy();
      mood = next;
    },
    async close(): Promise<void> {
      for (const socket of open) socket.destroy();
      await new Promise<void>((resolve) => door.close(() => resolve()));
    },
  };
}
