import nodemailer from 'nodemailer';
import { AppError } from '../../shared/errors.ts';
import type { Mailer, OutgoingMail } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';
import { deliveryError } from './mail-problem.ts';
import { composed, connectionOptions, type MailServer, timeoutsOf } from './mail-server.ts';
import { tryMail } from './mail-trial.ts';

/** Sends through an SMTP server over a few kept connections. One try a call: the outbox does the retrying. */
export function createMailer(server: MailServer, clock: Clock): Mailer {
  const { whole } = timeoutsOf(server);
  const where = `${server.host}:${server.port}`;
  const open = () =>
    nodemailer.createTransport({
      ...connectionOptions(server),
      pool: true,
      maxConnections: 4,
      maxRequeues: 0,
    } as Parameters<typeof nodemailer.createTransport>[0]);
  let pool = open();

  /** Past the deadline the connection is of no more use; what others are sending over theirs goes on. */
  const sendInTime = (mail: OutgoingMail) =>
    new Promise<void>((resolve, reject) => {
      const used = pool;
      const cancel = clock.after(whole, () => {
        if (pool === used) pool = open();
        used.close();
        reject(Object.assign(new Error('too slow'), { timeoutType: 'whole' }));
      });
      used.sendMail(composed(server.from, mail), (problem: Error | null) => {
        cancel();
        if (problem) reject(problem);
        else resolve();
      });
    });

  return {
    async send(mail) {
      try {
        await sendInTime(mail);
      } catch (thrown) {
        throw deliveryError(thrown, where);
      }
    },
    trial: (mail) => tryMail(server, mail, clock),
    close: () => pool.close(),
  };
}

/** The mailer of a training run: nothing ever leaves, and each message says so. */
export const createNoMailer = (): Mailer => ({
  send: async () => {
    throw new AppError('delivery', 'A training run sends no mail.', { details: { withheld: true } });
  },
  trial: async () => [{ step: 'failed', ok: false, text: 'A training run sends no mail.' }],
  close: () => {},
});
