import { once } from 'node:events';
import { type AddressInfo, createServer } from 'node:net';
import { describe, expect, onTestFinished, test } from 'vitest';
import type { MailServer } from '../../../alerts/delivery/mail-server.ts';
import { createMailer } from '../../../alerts/delivery/mailer.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import type { AppError } from '../../../shared/errors.ts';
import { selfSigned } from '../../tools/certificate.ts';
import { header, mailServer } from '../../tools/mail-server.ts';

const ours = selfSigned('localhost');
const message = {
  to: 'rowan@fernhollow.example',
  subject: 'Warm room too warm: 29.6 °C, limit 28',
  text: 'Open the vents.\n',
  messageId: '<one@fernhollow.shelfwarden.invalid>',
};

const mailerTo = (port: number, more: Partial<MailServer> = {}) => {
  const server = { host: 'localhost', port, secure: false, from: 'alarms@fernhollow.example', ...more };
  const mailer = createMailer(server, systemClock);
  onTestFinished(() => mailer.close());
  return mailer;
};
const refusal = async (sending: Promise<void>): Promise<AppError> =>
  sending.then(
    () => expect.fail('the message was taken'),
    (thrown) => thrown,
  );
const withTls = { ...ours, disabledCommands: [] };

describe('TLS', () => {
  test('STARTTLS is used where it is offered, with the certificate checked', async () => {
    const secured: boolean[] = [];
    const server = await mailServer(() => null, {
      ...withTls,
      onMailFrom(_address, session, done) {
        secured.push(session.secure);
        done();
      },
    });
    await mailerTo(server.port, { ca: ours.cert }).send(message);
    expect(secured).toEqual([true]);
    expect(server.taken).toHaveLength(1);
  });

  test('from the first byte', async () => {
    const server = await mailServer(() => null, { ...withTls, secure: true });
    await mailerTo(server.port, { secure: true, ca: ours.cert }).send(message);
    expect(server.taken).toHaveLength(1);
  });

  test.each([false, true])('a certificate nobody vouches for is refused (secure: %s)', async (secure) => {
    const server = await mailServer(() => null, { ...withTls, secure });
    const thrown = await refusal(mailerTo(server.port, { secure }).send(message));
    expect(thrown.message).toContain('signed by itself');
    expect(thrown.message).toContain('mail.caFile');
    expect(thrown.details).toMatchObject({ permanent: false, failOver: true });
    expect(server.asked()).toBe(0);
  });

  test('a certificate for another name is refused', async () => {
    const theirs = selfSigned('mail.elsewhere.example');
    const server = await mailServer(() => null, { ...theirs, disabledCommands: [] });
    const thrown = await refusal(mailerTo(server.port, { ca: theirs.cert }).send(message));
    expect(thrown.message).toContain('for another name');
    expect(server.asked()).toBe(0);
  });

  test('where TLS is required, nothing is sent without it', async () => {
    const server = await mailServer();
    const thrown = await refusal(mailerTo(server.port, { tls: 'required' }).send(message));
    expect(thrown.message).toContain('STARTTLS');
    expect(server.asked()).toBe(0);
  });
});

test('user and password are given over TLS, and a wrong one is told apart from a refused message', async () => {
  const server = await mailServer(() => null, {
    ...withTls,
    authOptional: false,
    onAuth: ({ username, password }, session, done) =>
      session.secure && username === 'alarms' && password === 'right'
        ? done(null, { user: username })
        : done(new Error('not so')),
  });
  const access = { ca: ours.cert, user: 'alarms' };
  await mailerTo(server.port, { ...access, password: 'right' }).send(message);
  expect(server.taken).toHaveLength(1);
  const thrown = await refusal(mailerTo(server.port, { ...access, password: 'wrong' }).send(message));
  expect(thrown.message).toContain('user or password');
  expect(thrown.message).not.toContain('wrong');
  expect(thrown.details).toMatchObject({ permanent: false, failOver: true });
});

describe('each stage has its time', () => {
  const silentServer = async (say: string | null) => {
    const server = createServer((socket) => {
      if (say !== null) socket.write(say);
      socket.on('error', () => {});
    });
    server.listen(0, '127.0.0.1');
    await once(server, 'listening');
    onTestFinished(() => void server.close());
    return (server.address() as AddressInfo).port;
  };

  test('greeting', async () => {
    const port = await silentServer(null);
    const thrown = await refusal(mailerTo(port, { timeouts: { greeting: 100 } }).send(message));
    expect(thrown.message).toContain('did not greet');
    expect(thrown.details).toMatchObject({ permanent: false, failOver: false });
  });

  test('TLS handshake', async () => {
    const port = await silentServer(null);
    const thrown = await refusal(mailerTo(port, { secure: true, timeouts: { connect: 150 } }).send(message));
    expect(thrown.message).toMatch(/in time/);
  });

  test('answers', async () => {
    const port = await silentServer('220 mail.fernhollow.example\r\n');
    const thrown = await refusal(mailerTo(port, { timeouts: { answer: 100 } }).send(message));
    expect(thrown.message).toContain('stopped answering');
  });

  test('all of it, from a server that feeds a byte now and then', async () => {
    const server = createServer((socket) => {
      socket.write('220-');
      const cancel = systemClock.every(20, () => socket.write('.'));
      socket.on('close', cancel);
      socket.on('error', () => {});
    });
    server.listen(0, '127.0.0.1');
    await once(server, 'listening');
    onTestFinished(() => void server.close());
    const { port } = server.address() as AddressInfo;
    const mailer = mailerTo(port, { timeouts: { whole: 200, greeting: 400 } });
    expect((await refusal(mailer.send(message))).message).toContain('took too long');
  });
});

test('text with line breaks in it adds no header and no recipient', async () => {
  const recipients: string[] = [];
  const server = await mailServer(() => null, {
    onRcptTo({ address }, _session, done) {
      recipients.push(address);
      done();
    },
  });
  await mailerTo(server.port).send({
    ...message,
    subject: 'Warm\r\nBcc: all@elsewhere.example\r\n\r\nroom',
    text: 'a\r\n.\r\nMAIL FROM:<x@elsewhere.example>\r\n',
    messageId: '<two@fernhollow.shelfwarden.invalid>',
    inReplyTo: '<one\r\nBcc: all@elsewhere.example>',
  });
  const [mail] = server.taken;
  const head = mail!.slice(0, mail!.indexOf('\r\n\r\n'));
  expect(recipients).toEqual(['rowan@fernhollow.example']);
  expect(header(head, 'Bcc')).toBeUndefined();
  expect(server.taken).toHaveLength(1);
});

describe('a trial tells each step', () => {
  test('down to the words with which the server took it', async () => {
    const server = await mailServer(() => null, {
      ...withTls,
      onAuth: (_auth, _session, done) => done(null, { user: 'alarms' }),
    });
    const access = { ca: ours.cert, user: 'alarms', password: 'right' };
    const steps = await mailerTo(server.port, access).trial(message);
    expect(steps.map(({ step }) => step)).toEqual([
      'resolved',
      'connected',
      'secured',
      'signed in',
      'accepted',
    ]);
    expect(steps.every(({ ok }) => ok)).toBe(true);
    expect(steps[2]!.text).toMatch(/^TLSv1\.[23], certificate checked$/);
    expect(steps[4]!.text).toMatch(/250 /);
    expect(JSON.stringify(steps)).not.toContain('right');
    expect(server.taken).toHaveLength(1);
  });

  test('and where it ended', async () => {
    const refusing = await mailServer(() => ({ code: 554, text: 'no such mailbox here' }));
    const refused = await mailerTo(refusing.port).trial(message);
    expect(refused.at(-1)).toMatchObject({ step: 'failed', ok: false });
    expect(refused.at(-1)!.text).toContain('no such mailbox here');
    const nobody = await mailerTo(1).trial(message);
    expect(nobody.map(({ step }) => step)).toEqual(['resolved', 'failed']);
    expect(nobody[1]!.text).toContain('nothing listens there');
  });
});
