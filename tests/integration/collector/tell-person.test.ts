import { expect, onTestFinished, test } from 'vitest';
import { createMailer } from '../../../alerts/delivery/mailer.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import { createPersonTeller } from '../../../collector/tell-person.ts';
import type { AccessNews } from '../../../shared/doors.ts';
import { header, mailServer } from '../../tools/mail-server.ts';
import { smallFarm } from '../../tools/small-farm.ts';

const people = [
  { id: 'ida', name: 'Ida', email: 'ida@fernhollow.example' },
  { id: 'olaf', name: 'Olaf' },
];
const news: AccessNews = {
  ...{ name: 'IDA', act: 'change-password', who: 'Ida', address: '192.0.2.7' },
  t: Date.UTC(2026, 10, 29, 4, 30),
};

async function teller() {
  const server = await mailServer();
  const { port } = server;
  const mailer = createMailer(
    { host: '127.0.0.1', port, secure: false, from: 'farm@fernhollow.example' },
    systemClock,
  );
  onTestFinished(() => mailer.close());
  const problems: string[] = [];
  const tell = createPersonTeller({
    farm: () => smallFarm([], { people }),
    mailer,
    onProblem: (words) => problems.push(words),
  });
  return { server, tell, problems };
}

test('a person is told by email that their password was changed, when and from where', async () => {
  const { server, tell } = await teller();
  const answered = server.answered();
  tell(news);
  await answered;
  const [mail] = server.taken as [string];
  expect(header(mail, 'To')).toBe('ida@fernhollow.example');
  expect(header(mail, 'Subject')).toBe('Test site: how you sign in was changed');
  for (const part of [
    'password was changed',
    '29 November 2026',
    '05:30',
    '192.0.2.7',
    'under your own name',
  ])
    expect(mail).toContain(part);
});

test('and of what somebody else did, by whom; a name becomes no header', async () => {
  const { server, tell } = await teller();
  const answered = server.answered();
  tell({ ...news, act: 'invite-again', who: 'Eve\r\nBcc: all@fernhollow.example' });
  await answered;
  const [mail] = server.taken as [string];
  expect(mail).toContain('by Eve');
  expect(header(mail.split('\r\n\r\n')[0]!, 'Bcc')).toBeUndefined();
});

test('whoever has no address in the farm file is sent nothing, and is no problem', async () => {
  const { server, tell, problems } = await teller();
  tell({ ...news, name: 'Olaf' });
  tell({ ...news, name: 'Nobody' });
  const answered = server.answered();
  tell(news);
  await answered;
  expect([server.asked(), problems]).toEqual([1, []]);
});

test('a mail server that refuses stops nothing and is said', async () => {
  const server = await mailServer(() => ({ code: 550, text: 'no' }));
  const mailer = createMailer(
    { host: '127.0.0.1', port: server.port, secure: false, from: 'farm@fernhollow.example' },
    systemClock,
  );
  onTestFinished(() => mailer.close());
  const said = new Promise<string>((resolve) => {
    createPersonTeller({ farm: () => smallFarm([], { people }), mailer, onProblem: resolve })(news);
  });
  expect(await said).toContain('IDA could not be told');
});
