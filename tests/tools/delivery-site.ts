import { onTestFinished } from 'vitest';
import { createAckLinks } from '../../alerts/delivery/ack-links.ts';
import { createDelivery } from '../../alerts/delivery/delivery.ts';
import type { DeliveryState } from '../../alerts/delivery/sender.ts';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { FarmFileInput } from '../../shared/farm/schema.ts';
import type { OutgoingMail } from '../../shared/ports.ts';
import { alarmSite, smallFarm } from './alarm-site.ts';

/** What a way out does with a message: null takes it. */
type Answer = null | { permanent?: boolean; failOver?: boolean; gone?: boolean };

const people: FarmFileInput['people'] = [
  { id: 'rowan', name: 'Rowan', email: 'rowan@fernhollow.example', channels: ['email', 'relay'] },
  { id: 'ash', name: 'Ash', email: 'ash@fernhollow.example' },
  { id: 'moss', name: 'Moss', channels: ['relay'] },
];
export const routedFarm = (change: Partial<FarmFileInput> = {}): Farm =>
  smallFarm({
    people,
    notify: [],
    routes: [{ id: 'default', steps: [{ tell: ['rowan'], waitMin: 10 }, { tell: ['ash'] }] }],
    webhooks: [{ id: 'relay', url: 'https://relay.example/in', secretEnv: 'RELAY' }],
    ...change,
  });

/** Alarms with their delivery on a clock turned by hand; what goes out is noted, or refused as told. */
export function deliverySite(farm = routedFarm(), { links = false } = {}) {
  const key = links ? Buffer.alloc(32, 7) : null;
  const site = alarmSite(farm, undefined, key);
  const told: string[] = [];
  const mails: OutgoingMail[] = [];
  const hooks: { id: string; body: Record<string, unknown> }[] = [];
  const states: DeliveryState[] = [];
  const notices: (string | null)[] = [];
  const answers: Record<string, Answer> = {};
  const answer = (way: string) => {
    const details = answers[way] ?? null;
    if (details !== null) throw new AppError('delivery', `${way} does not take it`, { details });
    told.push(`${(site.clock.now() - site.startedAt) / 60_000} ${way}`);
  };
  const delivery = createDelivery({
    ...{ database: site.database, clock: site.clock, farm },
    links: key && createAckLinks(site.database, site.clock, key),
    mailer: {
      async send(mail) {
        answer(mail.to.split('@')[0]!);
        mails.push(mail);
      },
      trial: async () => [],
      close() {},
    },
    webhooks: {
      async post({ hook, id, body }) {
        answer(hook);
        hooks.push({ id, body: JSON.parse(body) });
      },
      trial: async () => [{ step: 'accepted', ok: true, text: 'taken' }],
    },
    raise: (alarm) => site.book.raise(alarm),
    onState: (state) => states.push(state),
    onGone: (text) => notices.push(text),
  });
  onTestFinished(() => delivery.stop());
  delivery.start();
  return {
    ...site,
    delivery,
    told,
    mails,
    hooks,
    states,
    notices,
    answers,
    /** The clock goes on by minutes; messages on their way arrive in between. */
    async pass(minutes: number) {
      for (let n = 0; n < minutes * 12; n++) {
        site.clock.advanceBy(5_000);
        delivery.wake();
        for (let turn = 0; turn < 20; turn++) await Promise.resolve();
      }
    },
    rows: () =>
      site.database
        .prepare<[], { recipient: string; channel: string; state: string; reason: string; attempts: number }>(
          'SELECT recipient, channel, state, reason, attempts FROM alarm_outbox ORDER BY id',
        )
        .all(),
  };
}
