import { isIP } from 'node:net';
import type { OutgoingMail } from '../../shared/ports.ts';
import { secondMs } from '../../shared/time.ts';

export interface MailServer {
  host: string;
  port: number;
  /** TLS from the first byte; otherwise STARTTLS as `tls` says. */
  secure: boolean;
  /**
   * `required`: no message and no password without TLS. `offered`: STARTTLS when the server offers it. Left
   * out: required where a password is sent to another machine, or an attacker could ask for it in the clear.
   */
  tls?: 'required' | 'offered' | undefined;
  from: string;
  /** Resolved from environment or file by the caller; never logged. */
  user?: string | undefined;
  password?: string | undefined;
  /** PEM of an authority of one's own. */
  ca?: string | undefined;
  timeouts?: Partial<MailTimeouts>;
}

/** The longest that each stage may take, ms. */
export interface MailTimeouts {
  lookup: number;
  connect: number;
  greeting: number;
  /** Silence within a conversation, also after the final dot. */
  answer: number;
  /** All of it: a server that feeds us a byte now and then is never silent. */
  whole: number;
}
const usualTimeouts: MailTimeouts = {
  lookup: 5 * secondMs,
  connect: 10 * secondMs,
  greeting: 10 * secondMs,
  answer: 20 * secondMs,
  whole: 60 * secondMs,
};

export const timeoutsOf = (server: MailServer): MailTimeouts => ({ ...usualTimeouts, ...server.timeouts });

const isLoopback = (host: string) => host === 'localhost' || host === '::1' || host.startsWith('127.');

/** How nodemailer is to reach a server, for the pool and for a single trial alike. */
export function connectionOptions(server: MailServer) {
  const { host, port, secure, user, password, ca } = server;
  const timeouts = timeoutsOf(server);
  const tls = server.tls ?? (user !== undefined && !isLoopback(host) ? 'required' : 'offered');
  return {
    host,
    port,
    secure,
    requireTLS: !secure && tls === 'required',
    ...(user === undefined ? {} : { auth: { user, pass: password ?? '' } }),
    tls: {
      minVersion: 'TLSv1.2' as const,
      ...(ca === undefined ? {} : { ca }),
      // Without a name Node checks the certificate against the empty one.
      ...(isIP(host) === 0 ? { servername: host } : {}),
    },
    dnsTimeout: timeouts.lookup,
    connectionTimeout: timeouts.connect,
    greetingTimeout: timeouts.greeting,
    socketTimeout: timeouts.answer,
  };
}

/** The message as it goes out. RFC 3834: no holiday notices in return, please. */
export const composed = (from: string, { to, subject, text, html, ...ids }: OutgoingMail) => ({
  from,
  to,
  subject,
  text,
  html,
  ...ids,
  headers: { 'Auto-Submitted': 'auto-generated' },
  disableFileAccess: true,
  disableUrlAccess: true,
});
