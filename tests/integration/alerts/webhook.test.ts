import { once } from 'node:events';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { createServer as createTlsServer } from 'node:https';
import type { AddressInfo } from 'node:net';
import { describe, expect, onTestFinished, test } from 'vitest';
import { webhookHeaders, webhookKey } from '../../../alerts/delivery/sign-webhook.ts';
import { createWebhooks } from '../../../alerts/delivery/webhook.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import type { AppError } from '../../../shared/errors.ts';
import { selfSigned } from '../../tools/certificate.ts';

const secret = 'whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw';
const message = { hook: 'relay', id: 'msg_1', body: '{"type":"alarm.raised"}' };

interface Call {
  headers: IncomingMessage['headers'];
  body: string;
}

/** A receiver on loopback that answers as told. */
async function receiver(answer: (response: ServerResponse) => void, tls?: { key: string; cert: string }) {
  const calls: Call[] = [];
  const handle = (request: IncomingMessage, response: ServerResponse) => {
    let body = '';
    request.on('data', (chunk) => {
      body += chunk;
    });
    request.on('end', () => {
      calls.push({ headers: request.headers, body });
      answer(response);
    });
  };
  const server = tls === undefined ? createServer(handle) : createTlsServer(tls, handle);
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  onTestFinished(() => {
    server.closeAllConnections();
    server.close();
  });
  return { calls, port: (server.address() as AddressInfo).port };
}

const hooksTo = (url: string, more: { privateHosts?: string[]; ca?: string; timeoutMs?: number } = {}) => {
  const { privateHosts = ['localhost', '127.0.0.1'], ...rest } = more;
  return createWebhooks({
    target: (id) => (id === 'relay' ? { id, url, secret } : undefined),
    privateHosts: () => privateHosts,
    clock: systemClock,
    ...rest,
  });
};
const status = (code: number) => (response: ServerResponse) => void response.writeHead(code).end('ok');
const refusal = async (posting: Promise<void>): Promise<AppError> =>
  posting.then(
    () => expect.fail('the message was taken'),
    (thrown) => thrown,
  );

test('a message arrives signed', async () => {
  const { calls, port } = await receiver(status(204));
  await hooksTo(`http://127.0.0.1:${port}/in`).post(message);
  const [{ headers, body }] = calls as [Call];
  const t = Number(headers['webhook-timestamp']) * 1000;
  expect(body).toBe(message.body);
  expect(headers).toMatchObject(webhookHeaders(webhookKey(secret), 'msg_1', t, body));
});

test('over TLS the certificate is checked', async () => {
  const ours = selfSigned('localhost');
  const { calls, port } = await receiver(status(200), ours);
  const url = `https://localhost:${port}/in`;
  const distrusted = await refusal(hooksTo(url).post(message));
  expect(distrusted.details).toMatchObject({ permanent: false, failOver: true });
  expect(calls).toHaveLength(0);
  await hooksTo(url, { ca: ours.cert }).post(message);
  expect(calls).toHaveLength(1);
});

describe('a receiver in trouble', () => {
  // Tried again after seconds (RFC 9110 15.6, 15.5.9, RFC 6585 4), another way at once, or never more (15.5.11).
  const later = { permanent: false, failOver: false };
  const otherWay = { permanent: false, failOver: true };
  test.each([
    [302, otherWay],
    [404, otherWay],
    [405, otherWay],
    [408, later],
    [410, { permanent: true, gone: true }],
    [429, later],
    [500, later],
    [503, later],
  ])('answering %i', async (code, details) => {
    const { port } = await receiver(status(code));
    const thrown = await refusal(hooksTo(`http://127.0.0.1:${port}/secret-path`).post(message));
    expect(thrown.details).toMatchObject(details);
    expect(thrown.message).toContain(String(code));
    expect(thrown.message).not.toContain('secret-path');
  });

  test('a redirect is not followed', async () => {
    const beyond = await receiver(status(200));
    const { port } = await receiver(
      (response) => void response.writeHead(302, { location: `http://127.0.0.1:${beyond.port}/` }).end(),
    );
    const thrown = await refusal(hooksTo(`http://127.0.0.1:${port}/`).post(message));
    expect(thrown.message).toContain('redirect');
    expect(beyond.calls).toHaveLength(0);
  });

  test('that hangs up without a word is tried again', async () => {
    const { calls, port } = await receiver((response) => void response.socket!.destroy());
    const thrown = await refusal(hooksTo(`http://127.0.0.1:${port}/secret-path`).post(message));
    expect(calls).toHaveLength(1);
    expect(thrown.details).toMatchObject(later);
    expect(thrown.message).not.toContain('secret-path');
  });

  test('that says nothing is left in time', async () => {
    const { port } = await receiver(() => {});
    const thrown = await refusal(hooksTo(`http://127.0.0.1:${port}/`, { timeoutMs: 200 }).post(message));
    expect(thrown.message).toContain('no answer within 0.2 s');
  });
});

describe('addresses inside a private network', () => {
  test.each([
    'http://127.0.0.1:1/',
    'http://localhost:1/',
    'http://[::1]:1/',
    'http://0x7f.1:1/',
    'http://[::ffff:127.0.0.1]:1/',
  ])('%s is refused unless the farm file names it', async (url) => {
    const thrown = await refusal(hooksTo(url, { privateHosts: ['relay.fernhollow.example'] }).post(message));
    expect(thrown.message).toContain('private network');
    expect(thrown.details).toMatchObject({ permanent: true });
  });
});

test('a trial tells each step', async () => {
  const ours = selfSigned('localhost');
  const { port } = await receiver(status(200), ours);
  const steps = await hooksTo(`https://localhost:${port}/`, { ca: ours.cert }).trial(message);
  expect(steps.map(({ step }) => step)).toEqual(['resolved', 'connected', 'secured', 'accepted']);
  const failed = await hooksTo('http://127.0.0.1:1/').trial(message);
  expect(failed.map(({ step, ok }) => [step, ok])).toEqual([
    ['resolved', true],
    ['failed', false],
  ]);
});
