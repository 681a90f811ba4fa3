import { AppError, messageOf } from '../../shared/errors.ts';

/** What nodemailer adds to an error; `originalCode` is the system's or OpenSSL's own. */
export interface MailTrouble {
  code?: string;
  originalCode?: string;
  timeoutType?: string;
  responseCode?: number;
  response?: string;
  command?: string;
}

/** Commands whose refusal is about this message; at any other the server refuses us, which may be mended. */
const aboutTheMessage = new Set(['MAIL FROM', 'RCPT TO', 'DATA']);

const timeouts: Record<string, string> = {
  CONNECT_TIMEOUT: 'no connection came about in time',
  GREETING_TIMEOUT: 'it took the connection and then did not greet in time',
  UPGRADE_TIMEOUT: 'the TLS handshake did not end in time',
  SOCKET_TIMEOUT: 'it stopped answering',
};

const unreachable: Record<string, string> = {
  ECONNREFUSED: 'nothing listens there; check mail.host and mail.port',
  ENOTFOUND: 'its name is not known; check mail.host and the network',
  EAI_AGAIN: 'its name could not be looked up just now; check the network',
  EHOSTUNREACH: 'there is no way to it; check the network',
  ENETUNREACH: 'there is no way to it; check the network',
  ECONNRESET: 'it cut the connection',
  EPIPE: 'it cut the connection',
};

const certificates: Record<string, string> = {
  DEPTH_ZERO_SELF_SIGNED_CERT:
    'its certificate is signed by itself; name the file of its certificate in mail.caFile if it is yours',
  SELF_SIGNED_CERT_IN_CHAIN:
    'its certificate comes from an authority nobody here knows; name that in mail.caFile',
  UNABLE_TO_VERIFY_LEAF_SIGNATURE:
    'its certificate comes from an authority nobody here knows; name that in mail.caFile',
  UNABLE_TO_GET_ISSUER_CERT_LOCALLY:
    'its certificate comes from an authority nobody here knows; name that in mail.caFile',
  ERR_TLS_CERT_ALTNAME_INVALID:
    'its certificate is for another name; write the name in the certificate as mail.host',
  CERT_HAS_EXPIRED: 'its certificate has expired; renew it on the mail server',
  CERT_NOT_YET_VALID: 'its certificate is not valid yet; check the clock of this machine',
};

/** Why a mail server did not take a message, in words that say what to mend. */
export function mailProblem(thrown: unknown): string {
  const { code, originalCode, timeoutType, responseCode, response, command } = thrown as MailTrouble;
  const certificate = certificates[originalCode ?? ''] ?? certificates[code ?? ''];
  if (certificate !== undefined) return `refused to talk to it: ${certificate}`;
  if (timeoutType !== undefined) return timeouts[timeoutType] ?? 'it took too long';
  const way = unreachable[originalCode ?? ''] ?? unreachable[code ?? ''];
  if (way !== undefined) return way;
  if (code === 'EAUTH') return `it does not take our user or password: ${response ?? messageOf(thrown)}`;
  if (code === 'ETLS' || code === 'ESOCKET')
    return command === 'STARTTLS' || /STARTTLS/.test(response ?? '')
      ? 'it offers no STARTTLS, and without TLS no password and no message is sent; set mail.secure or mail.tls'
      : `no TLS came about: ${messageOf(thrown)}`;
  if (responseCode !== undefined) return `it answered: ${response}`;
  return messageOf(thrown);
}

/**
 * The error of a message not taken. `details.permanent`: refused for good (RFC 5321 section 4.2.1, 5yz about
 * the message). `details.failOver`: no use in waiting, somebody must mend something; try another way at once.
 */
export function deliveryError(thrown: unknown, where: string): AppError {
  const { responseCode, command, code, originalCode } = thrown as MailTrouble;
  const refused = responseCode !== undefined && responseCode >= 500;
  const permanent = refused && aboutTheMessage.has(command ?? '');
  const distrusted = (originalCode ?? code ?? '') in certificates;
  return new AppError(
    'delivery',
    `The mail server ${where} did not take the message: ${mailProblem(thrown)}`,
    {
      cause: thrown,
      details: { permanent, failOver: refused || distrusted, responseCode: responseCode ?? null },
    },
  );
}
