import { lookup } from 'node:dns/promises';
import { TLSSocket } from 'node:tls';
import MailComposer from 'nodemailer/lib/mail-composer';
import SMTPConnection from 'nodemailer/lib/smtp-connection';
import { messageOf } from '../../shared/errors.ts';
import type { DeliveryStep, OutgoingMail } from '../../shared/ports.ts';
import type { Cancel, Clock } from '../../shared/time.ts';
import { mailProblem } from './mail-problem.ts';
import { composed, connectionOptions, type MailServer, timeoutsOf } from './mail-server.ts';

/**
 * Sends one message over a connection of its own and tells each stage as it is passed, the server's words
 * included. Never throws: the last step says where it ended.
 */
export async function tryMail(server: MailServer, mail: OutgoingMail, clock: Clock): Promise<DeliveryStep[]> {
  const steps: DeliveryStep[] = [];
  const passed = (step: string, text: string) => steps.push({ step, ok: true, text });
  const { auth, ...options } = connectionOptions(server);
  const connection = new SMTPConnection(options);
  let cancel: Cancel = () => {};
  const overdue = new Promise<never>((_, reject) => {
    cancel = clock.after(timeoutsOf(server).whole, () =>
      reject(Object.assign(new Error('too slow'), { timeoutType: 'whole' })),
    );
    connection.on('error', reject);
  });
  // Whoever wins the race, the other may still fail, and nobody is left to hear it.
  overdue.catch(() => {});
  const stage = <T>(run: (done: (problem?: Error | null, result?: T) => void) => void): Promise<T> =>
    Promise.race([
      overdue,
      new Promise<T>((resolve, reject) =>
        run((problem, result) => (problem ? reject(problem) : resolve(result as T))),
      ),
    ]);

  try {
    const addresses = await lookup(server.host, { all: true });
    passed('resolved', `${server.host} is ${addresses.map(({ address }) => address).join(', ')}`);
    await stage((done) => connection.connect(done));
    passed('connected', `port ${server.port} answers`);
    passed('secured', tlsWords(connection._socket));
    if (auth !== undefined) {
      await stage((done) => connection.login({ user: auth.user, pass: auth.pass }, done));
      passed('signed in', `as ${auth.user}`);
    }
    const message = new MailComposer(composed(server.from, mail)).compile();
    const envelope = message.getEnvelope();
    const raw = await message.build();
    const info = await stage<{ response: string }>((done) =>
      connection.send({ from: envelope.from, to: envelope.to }, raw, done as never),
    );
    passed('accepted', `the server says: ${info.response}`);
    connection.quit();
  } catch (thrown) {
    const words =
      steps.length === 0 ? `${server.host} is not known: ${messageOf(thrown)}` : mailProblem(thrown);
    steps.push({ step: 'failed', ok: false, text: words });
    connection.close();
  } finally {
    cancel();
  }
  return steps;
}

const tlsWords = (socket: unknown): string =>
  socket instanceof TLSSocket
    ? `${socket.getProtocol()}, certificate checked`
    : 'no TLS: the server did not offer it';
