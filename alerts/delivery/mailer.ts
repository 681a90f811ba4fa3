import nodemailer from 'nodemailer';
import { AppError, messageOf } from '../../shared/errors.ts';
import type { Mailer } from '../../shared/ports.ts';

export interface MailServer {
  host: string;
  port: number;
  /** TLS from the first byte; otherwise STARTTLS when the server offers it. */
  secure: boolean;
  from: string;
  /** Resolved from environment or file by the caller; never logged. */
  user?: string | undefined;
  password?: string | undefined;
  /** PEM of an authority of one's own. */
  ca?: string | undefined;
  /** How long to wait for connection, greeting, and each answer. */
  timeoutMs?: number;
}

/** Commands whose refusal is about this message; at any other the server refuses us, which may pass. */
const aboutTheMessage = new Set(['MAIL FROM', 'RCPT TO', 'DATA']);

/** Sends through an SMTP server over a few kept connections. One try a call: the outbox does the retrying. */
export function createMailer(server: MailServer): Mailer {
  const timeoutMs = server.timeoutMs ?? 15_000;
  const transport = nodemailer.createTransport({
    pool: true,
    maxConnections: 4,
    maxRequeues: 0,
    host: server.host,
    port: server.port,
    secure: server.secure,
    ...(server.user === undefined ? {} : { auth: { user: server.user, pass: server.password ?? '' } }),
    ...(server.ca === undefined ? {} : { tls: { ca: server.ca } }),
    connectionTimeout: timeoutMs,
    greetingTimeout: timeoutMs,
    socketTimeout: timeoutMs,
    dnsTimeout: timeoutMs,
    disableFileAccess: true,
    disableUrlAccess: true,
  } as Parameters<typeof nodemailer.createTransport>[0]);

  return {
    async send({ to, subject, text, html, messageId, inReplyTo, references }) {
      try {
        await transport.sendMail({
          from: server.from,
          to,
          subject,
          text,
          html,
          messageId,
          inReplyTo,
          references,
          // RFC 3834: no holiday notices in return, please.
          headers: { 'Auto-Submitted': 'auto-generated' },
        });
      } catch (thrown) {
        throw deliveryError(thrown, `${server.host}:${server.port}`);
      }
    },
    close: () => transport.close(),
  };
}

function deliveryError(thrown: unknown, where: string): AppError {
  const { responseCode, command } = thrown as { responseCode?: number; command?: string };
  const permanent = responseCode !== undefined && responseCode >= 500 && aboutTheMessage.has(command ?? '');
  return new AppError('delivery', `The mail server ${where} did not take the message: ${messageOf(thrown)}`, {
    cause: thrown,
    details: { permanent, responseCode: responseCode ?? null },
  });
}

/** The mailer of a training run: nothing ever leaves, and each message says so. */
export const createNoMailer = (): Mailer => ({
  send: async () => {
    throw new AppError('delivery', 'A training run sends no mail.', { details: { withheld: true } });
  },
  close: () => {},
});
