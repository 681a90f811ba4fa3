import type { Database } from 'better-sqlite3';
import type { PersonView } from '../../shared/alarms.ts';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { DeliveryStep, Mailer, Webhooks } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';
import type { AckLinks } from './ack-links.ts';
import { createEscalations } from './escalations.ts';
import { createEscalator, type EscalatorNeeds } from './escalator.ts';
import { createGoneChannels } from './gone-channels.ts';
import { createHours } from './hours.ts';
import { createNotifier } from './notifier.ts';
import { createOutbox, type OutboxRow } from './outbox.ts';
import { createOutboxViews } from './outbox-views.ts';
import { channelsOf } from './route-plan.ts';
import { createSender, type DeliveryState } from './sender.ts';
import { tryChannel } from './trial.ts';
import { createWaitingRoom } from './waiting-room.ts';
import { webhookMessage } from './webhook-message.ts';

export interface DeliveryNeeds {
  database: Database;
  clock: Clock;
  farm: Farm;
  mailer: Mailer;
  /** None in a training run. */
  webhooks: Webhooks | null;
  links: AckLinks | null;
  raise: EscalatorNeeds['raise'];
  onState: (state: DeliveryState) => void;
  /** A webhook's receiver is gone (410) and is asked no more; null when none is. */
  onGone: (text: string | null) => void;
  roundMs?: number | undefined;
}

/**
 * Gets messages to people: works the outbox by email and webhooks, gives what does not get through to
 * another channel or person, escalates what nobody acknowledges, and ends quiet hours with one message.
 */
export function createDelivery(needs: DeliveryNeeds) {
  const { database, clock, mailer, webhooks, raise, onState, onGone } = needs;
  let farm = needs.farm;
  const outbox = createOutbox(database);
  const views = createOutboxViews(database);
  const gone = createGoneChannels(database);
  const escalations = createEscalations(database);
  const notifier = createNotifier(database, clock, needs.links);
  const escalator = createEscalator({ database, clock, farm: () => farm, notifier, raise });
  const waitingRoom = createWaitingRoom(database, clock, notifier);

  const tellGone = () => {
    const channels = [...gone.of(farm)];
    const named = channels.length === 1 ? `Webhook ${channels[0]} is` : `Webhooks ${channels.join(', ')} are`;
    onGone(
      channels.length === 0
        ? null
        : `${named} gone (410) and asked no more: change the address in the farm file, or try the channel.`,
    );
  };

  const carry = async (row: OutboxRow): Promise<void> => {
    const person = farm.file.people.find(({ id }) => id === row.recipient);
    if (row.channel === 'email') {
      if (person?.email === undefined) throw noLonger(row);
      return mailer.send({ ...row.message, to: person.email });
    }
    if (webhooks === null)
      throw new AppError('delivery', 'A training run posts to no webhook.', { details: { withheld: true } });
    return webhooks.post({ hook: row.channel, ...webhookMessage(row) });
  };

  /** The same person's next channel; without one, the next on the route. Others are not told what is over. */
  const findAnotherWay = (row: OutboxRow): void => {
    const person = farm.file.people.find(({ id }) => id === row.recipient);
    const used = outbox.usedChannels(row.key, row.recipient);
    const next = person && channelsOf(farm, person, gone.of(farm)).find((way) => !used.includes(way));
    if (next !== undefined) {
      const { id: _, attempts: _a, nextAt: _n, lastError: _l, failedOver: _f, ...same } = row;
      outbox.add({ ...same, channel: next, queuedAt: clock.now(), heldUntil: null });
    } else if (row.alarm !== null && row.seq !== null && row.reason !== 'returned')
      escalations.hurry(row.alarm, row.seq, clock.now());
  };

  const sender = createSender({
    database,
    clock,
    async carry(row) {
      try {
        await carry(row);
      } catch (thrown) {
        if (thrown instanceof AppError && thrown.details.gone) {
          gone.note(farm, row.channel, clock.now());
          tellGone();
        }
        throw thrown;
      }
    },
    findAnotherWay,
    prepare() {
      waitingRoom.open(farm);
      escalator.run();
    },
    preparesAt: escalations.nextAt,
    onState,
    roundMs: needs.roundMs,
  });

  return {
    start(): void {
      tellGone();
      waitingRoom.reconsider(farm);
      sender.start();
    },
    wake: sender.wake,
    stop: sender.stop,
    /** Takes a reloaded farm: addresses, channels and hours of what still waits are worked out anew. */
    setFarm(next: Farm): void {
      farm = next;
      tellGone();
      waitingRoom.reconsider(farm);
      sender.wake();
    },
    /** Where an alarm goes next while nobody acknowledges it. */
    escalation: escalator.of,
    /** Rounds through the outbox so far. */
    rounds: sender.rounds,
    /** Messages queued by an instant that are not out. */
    overdue: views.overdue,
    people(): PersonView[] {
      const unreachable = gone.of(farm);
      const hours = createHours(farm.file.site.timeZone);
      return farm.file.people.map((person) => {
        const usable = channelsOf(farm, person, unreachable);
        return {
          id: person.id,
          name: person.name,
          channels: (person.channels ?? ['email']).map((channel) => ({
            channel,
            usable: usable.includes(channel),
          })),
          onCall: hours.isOnCall(person, clock.now()),
          quietUntil: hours.quietUntil(person, clock.now()),
        };
      });
    },
    /** Tries a channel of a person; a webhook that takes it is there again. */
    async tryChannel(person: string, channel: string, who: string): Promise<DeliveryStep[]> {
      const steps = await tryChannel({ clock, mailer, webhooks }, farm, person, channel, who);
      if (channel !== 'email' && steps.every(({ ok }) => ok)) {
        gone.forget(channel);
        tellGone();
      }
      return steps;
    },
  };
}

const noLonger = (row: OutboxRow): AppError =>
  new AppError('delivery', `The farm file no longer has an email address for ${row.recipient}.`, {
    details: { permanent: true },
  });
