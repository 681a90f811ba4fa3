import { lookup } from 'node:dns/promises';
import { request as httpRequest, type RequestOptions } from 'node:http';
import { request as httpsRequest } from 'node:https';
import { isIP, type LookupFunction } from 'node:net';
import { AppError, messageOf } from '../../shared/errors.ts';
import { type Clock, secondMs } from '../../shared/time.ts';
import { isPrivateAddress } from './private-address.ts';

export interface GuardedRequest {
  url: string;
  method: 'POST' | 'GET';
  headers?: Record<string, string>;
  body?: string;
  /** Hosts that the farm file names although they are in a private network. */
  privateHosts: readonly string[];
  /** Told each stage as it is passed. */
  onStep?: (step: string, text: string) => void;
  ca?: string;
  timeoutMs?: number;
}

const usualTimeoutMs = 15 * secondMs;
const mostAnswerBytes = 64 * 1024;

interface Address {
  address: string;
  family: 4 | 6;
}

/** The addresses of a host, each seen to be allowed. Throws AppError 'delivery'. */
async function allowedAddresses(host: string, privateHosts: readonly string[]): Promise<Address[]> {
  const literal = host.replace(/^\[|\]$/g, '');
  const family = isIP(literal);
  const found: Address[] =
    family === 0
      ? ((await lookup(host, { all: true })) as Address[])
      : [{ address: literal, family: family as 4 | 6 }];
  const inside = found.find(({ address }) => isPrivateAddress(address));
  if (inside === undefined || privateHosts.some((name) => name.toLowerCase() === literal)) return found;
  throw new AppError(
    'delivery',
    `${literal} is ${inside.address}, an address of a private network. If that is meant, add ${literal} under privateHosts in the farm file.`,
    { details: { permanent: true, failOver: true } },
  );
}

/**
 * One HTTP request to an address that was looked up and checked first; the connection goes to that very
 * address, so that a name cannot point elsewhere in between. Redirects are answers like any other. Returns
 * the status; throws AppError 'delivery' when no answer came.
 */
export async function guardedRequest(asked: GuardedRequest, clock: Clock): Promise<number> {
  const url = new URL(asked.url);
  const { onStep = () => {} } = asked;
  let addresses: Address[];
  try {
    addresses = await allowedAddresses(url.hostname, asked.privateHosts);
  } catch (thrown) {
    if (thrown instanceof AppError) throw thrown;
    throw notReached(url, `its name could not be looked up: ${messageOf(thrown)}`, thrown);
  }
  onStep('resolved', `${url.hostname} is ${addresses.map(({ address }) => address).join(', ')}`);
  const pinned: LookupFunction = (_host, { all }, done) =>
    all ? done(null, addresses) : done(null, addresses[0]!.address, addresses[0]!.family);

  return new Promise((resolve, reject) => {
    const secure = url.protocol === 'https:';
    const options: RequestOptions & { ca?: string } = {
      method: asked.method,
      headers: {
        ...asked.headers,
        ...(asked.body === undefined ? {} : { 'content-length': Buffer.byteLength(asked.body) }),
      },
      lookup: pinned,
      agent: false,
      ...(asked.ca === undefined ? {} : { ca: asked.ca }),
    };
    const sent = (secure ? httpsRequest : httpRequest)(url, options, (answer) => {
      let bytes = 0;
      answer.on('data', (chunk: Buffer) => {
        bytes += chunk.length;
        if (bytes > mostAnswerBytes) end(answer.statusCode!);
      });
      answer.on('end', () => end(answer.statusCode!));
      answer.on('error', () => end(answer.statusCode!));
    });
    const cancel = clock.after(asked.timeoutMs ?? usualTimeoutMs, () =>
      sent.destroy(new Error(`no answer within ${(asked.timeoutMs ?? usualTimeoutMs) / secondMs} s`)),
    );
    const end = (status: number) => {
      cancel();
      resolve(status);
      sent.destroy();
    };
    sent.on('socket', (socket) => {
      socket.once('connect', () =>
        onStep('connected', `to ${socket.remoteAddress} port ${socket.remotePort}`),
      );
      socket.once('secureConnect', () => onStep('secured', 'TLS, with the certificate checked'));
    });
    sent.on('error', (thrown) => {
      cancel();
      reject(notReached(url, messageOf(thrown), thrown));
    });
    sent.end(asked.body);
  });
}

const notReached = (url: URL, why: string, cause: unknown): AppError =>
  // Only the host: paths of webhooks often hold a secret.
  new AppError('delivery', `${url.hostname} was not reached: ${why}`, {
    cause,
    details: { permanent: false, failOver: isCertificateError(cause) },
  });

const isCertificateError = (thrown: unknown): boolean =>
  /CERT|SELF_SIGNED|UNABLE_TO_(VERIFY|GET)/.test(String((thrown as { code?: string }).code));
