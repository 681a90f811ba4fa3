import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { SMTPServer, type SMTPServerOptions } from 'smtp-server';
import { onTestFinished } from 'vitest';

/** What a mail server does with a message: takes it, refuses it, or says nothing any more. */
export type Verdict = { code: number; text: string } | 'hang' | null;

/** A real SMTP server; `answer` decides each message's fate by its number from 0. */
export async function mailServer(
  answer: (n: number) => Verdict = () => null,
  options: SMTPServerOptions = {},
) {
  const taken: string[] = [];
  let asked = 0;
  let arrived = () => {};
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS'],
    disableReverseLookup: true,
    onData(stream, _session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk) => chunks.push(chunk));
      stream.on('end', () => {
        const verdict = answer(asked);
        asked += 1;
        if (verdict === 'hang') return;
        if (verdict) {
          done(Object.assign(new Error(verdict.text), { responseCode: verdict.code }));
        } else {
          taken.push(Buffer.concat(chunks).toString());
          done();
        }
        arrived();
      });
    },
    ...options,
  });
  // A client that gives up on a hanging server closes its socket; that is what the test is about.
  server.on('error', () => {});
  server.listen(0, '127.0.0.1');
  await once(server.server, 'listening');
  onTestFinished(() => new Promise<void>((resolve) => server.close(() => resolve())));
  const { port } = server.server.address() as AddressInfo;
  return {
    taken,
    port,
    asked: () => asked,
    /** Resolves at the next answer that the server gives. */
    answered: () =>
      new Promise<void>((resolve) => {
        arrived = resolve;
      }),
  };
}

/** A header of a mail as it went over the wire, unfolded. */
export const header = (mail: string, name: string): string | undefined =>
  new RegExp(`^${name}: (.*(?:\r\n\\s.*)*)`, 'im').exec(mail)?.[1]?.replace(/\r\n\s+/g, ' ');
