import { describe, expect, onTestFinished, test } from 'vitest';
import { createDelivery } from '../../../alerts/delivery/delivery.ts';
import type { MailServer } from '../../../alerts/delivery/mail-server.ts';
import { createMailer, createNoMailer } from '../../../alerts/delivery/mailer.ts';
import type { DeliveryState } from '../../../alerts/delivery/sender.ts';
import { systemClock } from '../../../collector/system-clock.ts';
import type { AppError } from '../../../shared/errors.ts';
import type { Mailer } from '../../../shared/ports.ts';
import { alarmSite } from '../../tools/alarm-site.ts';
import { header, mailServer } from '../../tools/mail-server.ts';

const warm = 'warm-air.temperature';
const highWarm = 'high/warm-room.temperature';

const mailerTo = (port: number, more: Partial<MailServer> = {}) => {
  const mailer = createMailer(
    {
      host: '127.0.0.1',
      port,
      secure: false,
      from: 'Fernhollow <alarms@fernhollow.example>',
      ...more,
    },
    systemClock,
  );
  onTestFinished(() => mailer.close());
  return mailer;
};

/** An alarm rings; the sender works on its outbox. `settled` resolves when a state satisfies `want`. */
function sending(mailer: Mailer) {
  const site = alarmSite();
  const states: DeliveryState[] = [];
  const waits: { want: (state: DeliveryState) => boolean; resolve: () => void }[] = [];
  const sender = createDelivery({
    ...{ database: site.database, mailer, clock: site.clock, farm: site.farm, webhooks: null, links: null },
    raise: (alarm) => site.book.raise(alarm),
    onGone: () => {},
    onState(state) {
      states.push(state);
      for (const wait of waits.splice(0)) wait.want(state) ? wait.resolve() : waits.push(wait);
    },
  });
  onTestFinished(() => sender.stop());
  site.hold({ [warm]: 29.5 }, 120);
  return {
    site,
    sender,
    states,
    until: (want: (state: DeliveryState) => boolean) =>
      new Promise<void>((resolve) => waits.push({ want, resolve })),
    rows: () =>
      site.database
        .prepare<[], { state: string; attempts: number; next_at: number; last_error: string | null }>(
          'SELECT state, attempts, next_at, last_error FROM alarm_outbox ORDER BY id',
        )
        .all(),
  };
}
const allOut = (state: DeliveryState) => state.waiting === 0;

describe('an alarm by mail', () => {
  test('reaches the mailbox whole', async () => {
    const server = await mailServer();
    const { site, sender, until } = sending(mailerTo(server.port));
    const out = until(allOut);
    sender.start();
    await out;
    expect(server.taken).toHaveLength(1);
    const mail = server.taken[0]!;
    expect(header(mail, 'To')).toBe('rowan@fernhollow.example');
    expect(header(mail, 'Auto-Submitted')).toBe('auto-generated');
    expect(header(mail, 'Message-ID')).toMatch(/^<\S+\.rowan@fernhollow\.shelfwarden\.invalid>$/);
    expect(mail.indexOf('text/plain')).toBeLessThan(mail.indexOf('text/html'));
    expect(site.book.view(highWarm).delivery).toEqual({ waiting: 0, sent: 1, failed: 0 });
  });

  test('and its end arrive in order, in one thread', async () => {
    const server = await mailServer();
    const { site, sender, until } = sending(mailerTo(server.port));
    site.hold({}, 120);
    const out = until(allOut);
    sender.start();
    await out;
    const [raised, over] = server.taken;
    expect(header(over!, 'In-Reply-To')).toBe(header(raised!, 'Message-ID'));
    expect(header(over!, 'References')).toBe(header(raised!, 'Message-ID'));
  });
});

describe('a mail server in trouble', () => {
  test('that refuses for now is asked again after 5, 30 and 120 s, each time with the same Message-ID', async () => {
    const ids: (string | undefined)[] = [];
    const server = await mailServer((n) => (n < 3 ? { code: 451, text: 'greylisted, come back' } : null));
    const inner = mailerTo(server.port);
    const { site, sender, until, rows, states } = sending({
      ...inner,
      send(mail) {
        ids.push(mail.messageId);
        return inner.send(mail);
      },
    });
    const startedAt = site.clock.now();
    let retried = until((state) => state.state === 'waiting');
    sender.start();
    for (const [attempt, delay] of [5, 30, 120].entries()) {
      await retried;
      const [row] = rows();
      expect(row).toMatchObject({ state: 'waiting', attempts: attempt + 1 });
      expect(row!.next_at - site.clock.now()).toBe(delay * 1000);
      expect(row!.last_error).toContain('greylisted');
      retried = attempt === 2 ? until(allOut) : until(() => rows()[0]!.attempts === attempt + 2);
      site.clock.advanceBy(delay * 1000 - 1);
      expect(ids).toHaveLength(attempt + 1);
      site.clock.advanceBy(1);
    }
    await retried;
    expect(site.clock.now() - startedAt).toBe(155_000);
    expect(new Set(ids).size).toBe(1);
    expect(ids).toHaveLength(4);
    expect(server.taken).toHaveLength(1);
    expect(states.at(-1)).toMatchObject({ state: 'ok', text: 'All messages are out.' });
  });

  test('that refuses for good is not asked again, and that is shown', async () => {
    const server = await mailServer(() => ({ code: 554, text: 'no such mailbox' }));
    const { site, sender, until, rows, states } = sending(mailerTo(server.port));
    const out = until(allOut);
    sender.start();
    await out;
    expect(rows()).toMatchObject([{ state: 'failed', attempts: 1 }]);
    expect(states.at(-1)).toMatchObject({ state: 'failed', failed: 1 });
    expect(states.at(-1)!.text).toContain('no such mailbox');
    expect(site.book.view(highWarm).delivery).toEqual({ waiting: 0, sent: 0, failed: 1 });
    site.clock.advanceBy(3_600_000);
    expect(server.asked()).toBe(1);
    expect(rows()).toMatchObject([{ state: 'failed', attempts: 1 }]);
  });

  test('that is not there is tried again', async () => {
    const server = await mailServer();
    const { sender, until, rows } = sending(mailerTo(1));
    const tried = until((state) => state.state === 'waiting');
    sender.start();
    await tried;
    expect(rows()).toMatchObject([{ state: 'waiting', attempts: 1 }]);
    expect(server.taken).toEqual([]);
  });

  test('that hangs after the final dot is given up in time and tried again', async () => {
    const server = await mailServer((n) => (n === 0 ? 'hang' : null));
    const { site, sender, until } = sending(mailerTo(server.port, { timeouts: { answer: 2_000 } }));
    const tried = until((state) => state.state === 'waiting');
    sender.start();
    await tried;
    const out = until(allOut);
    site.clock.advanceBy(5_000);
    await out;
    expect(server.taken).toHaveLength(1);
  });

  test('that does not know our password may learn it: the message waits', async () => {
    const server = await mailServer(() => null, {
      authOptional: false,
      allowInsecureAuth: true,
      onAuth: (_auth, _session, done) => done(new Error('wrong password')),
    });
    const mailer = mailerTo(server.port, { user: 'alarms', password: 'wrong' });
    const { sender, until, rows } = sending(mailer);
    const tried = until((state) => state.state === 'waiting');
    sender.start();
    await tried;
    expect(rows()).toMatchObject([{ state: 'waiting', attempts: 1 }]);
    expect(rows()[0]!.last_error).toContain('wrong password');
  });

  test('that stays away is tried each 5 min and given up after 12 h', async () => {
    const refused: AppError[] = [];
    const { site, sender, rows, until } = sending(mailerTo(1));
    let tried = until((state) => state.state === 'waiting');
    sender.start();
    await tried;
    for (let n = 0; n < 200 && rows()[0]!.state === 'waiting'; n += 1) {
      const { attempts } = rows()[0]!;
      tried = until(() => rows()[0]!.attempts > attempts);
      site.clock.advanceTo(rows()[0]!.next_at);
      await tried;
    }
    expect(refused).toEqual([]);
    expect(rows()).toMatchObject([{ state: 'failed' }]);
    expect(rows()[0]!.attempts).toBeLessThan(150);
  });
});

test('a process that dies between taking and noting sends again with the same Message-ID', async () => {
  const server = await mailServer();
  const { site, sender, until } = sending(mailerTo(server.port));
  const out = until(allOut);
  sender.start();
  await out;
  await sender.stop();
  site.database.exec(`UPDATE alarm_outbox SET state = 'waiting', attempts = 0`);
  const again = createDelivery({
    ...{ database: site.database, mailer: mailerTo(server.port), clock: site.clock, farm: site.farm },
    ...{ webhooks: null, links: null, raise: (alarm) => site.book.raise(alarm) },
    onGone: () => {},
    onState: () => {},
  });
  const second = server.answered();
  again.start();
  await second;
  await again.stop();
  const ids = server.taken.map((mail) => header(mail, 'Message-ID'));
  expect(ids).toHaveLength(2);
  expect(new Set(ids).size).toBe(1);
});

test('urgent messages go first', async () => {
  const server = await mailServer();
  const inner = mailerTo(server.port);
  const order: string[] = [];
  const { site, sender, until } = sending({
    ...inner,
    send(mail) {
      order.push(/Priority (\d)/.exec(mail.text)![1]!);
      return inner.send(mail);
    },
  });
  site.hold({ 'warm-air.humidity': 95 }, 120);
  site.hold({ [warm]: 35, 'warm-air.humidity': 95 }, 120);
  const out = until(allOut);
  sender.start();
  await out;
  // What follows are later messages of the second alarm, held back until its first is out.
  expect(order.slice(0, 3)).toEqual(['1', '2', '3']);
});

test('a training run withholds its mail and calls that no failure', async () => {
  const { sender, until, rows, states } = sending(createNoMailer());
  const out = until(allOut);
  sender.start();
  await out;
  expect(rows()).toMatchObject([{ state: 'withheld' }]);
  expect(states.at(-1)!.state).toBe('ok');
});
