import type { AcknowledgeLinkView } from '../shared/alarms.ts';
import { AppError } from '../shared/errors.ts';
import type { Farm } from '../shared/farm/farm.ts';
import type { Transport, Webhooks } from '../shared/ports.ts';
import { type AlarmBookNeeds, createAlarmBook } from './alarm-book.ts';
import { createAckLinks } from './delivery/ack-links.ts';
import { createAcknowledgeLinks } from './delivery/acknowledge-link.ts';
import { createAnnouncer } from './delivery/announcer.ts';
import { createDelivery, type DeliveryNeeds } from './delivery/delivery.ts';
import { createDigest, type Schedule } from './delivery/digest.ts';
import type { DigestContent } from './delivery/digest-text.ts';
import { type ChainProgress, createHeartbeat, type HeartbeatNeeds } from './delivery/heartbeat.ts';

/** What only a live site has: ways out of the house besides email. */
export interface Outward {
  webhooks: Webhooks;
  /** Signs links in messages. */
  linkKey: Buffer;
  schedule: Schedule;
}

export interface AlarmDeskNeeds extends Omit<DeliveryNeeds, 'links' | 'raise' | 'webhooks'> {
  outward: Outward | null;
  transport: Transport;
  bags: AlarmBookNeeds['bags'];
  unloads?: AlarmBookNeeds['unloads'];
  rooms?: AlarmBookNeeds['rooms'];
  digestContent: () => Omit<DigestContent, 'link' | 'alarms'>;
  /** Readings stored and rounds of evaluation so far. */
  progress: () => Omit<ChainProgress, 'outbox'>;
  onHeartbeat: HeartbeatNeeds['onState'];
  /** Alarms look different now; called after the commit. */
  onChange: () => void;
}

/** Something that runs beside the alarms and follows the farm file. */
interface Companion {
  start(): void;
  setFarm(farm: Farm): void;
  stop(): void | Promise<void>;
}

/** The alarms of a site and all that gets them to people, wired together. */
export function createAlarmDesk(needs: AlarmDeskNeeds) {
  const { database, clock, outward, transport, digestContent, progress, onHeartbeat } = needs;
  let { farm } = needs;
  const links = outward && createAckLinks(database, clock, outward.linkKey);
  // The book may speak while it is made: of hours without a watch, and alarms that a restart closes.
  let delivery: ReturnType<typeof createDelivery> | undefined;
  let announcer: ReturnType<typeof createAnnouncer> | undefined;
  const onQueued = () => delivery?.wake();
  const onChange = () => {
    needs.onChange();
    announcer?.changed();
  };
  const book = createAlarmBook({
    ...{ database, farm, clock, links, onChange, onQueued },
    bags: needs.bags,
    ...(needs.unloads ? { unloads: needs.unloads } : {}),
    ...(needs.rooms ? { rooms: needs.rooms } : {}),
  });
  const sender = createDelivery({
    ...needs,
    webhooks: outward?.webhooks ?? null,
    links,
    raise: book.raise,
  });
  delivery = sender;
  announcer = outward ? createAnnouncer({ database, clock, farm, transport, views: book.views }) : undefined;
  const companions: Companion[] = outward
    ? [
        announcer!,
        createDigest({
          ...{ database, clock, farm, onQueued, schedule: outward.schedule },
          content: () => ({ ...digestContent(), alarms: book.views() }),
        }),
        createHeartbeat({
          ...{ clock, farm, transport, onState: onHeartbeat },
          progress: () => ({ ...progress(), outbox: sender.rounds() }),
          overdue: sender.overdue,
        }),
      ]
    : [];
  const behindLinks =
    links &&
    createAcknowledgeLinks({
      links,
      farm: () => farm,
      raise: book.raise,
      acknowledge: (alarm, who) => void book.act(alarm, { act: 'acknowledge' }, who),
    });
  const withLinks = () => {
    if (behindLinks === null) throw new AppError('not-found', 'This site sends no links.');
    return behindLinks;
  };

  return {
    book,
    delivery: sender,
    /** What a link of a message stands for; changes nothing. */
    lookAtLink: (token: string): AcknowledgeLinkView => withLinks().look(token),
    /** Acknowledges by a link, once. Throws AppError 'conflict' with why it cannot be. */
    useLink: (token: string): AcknowledgeLinkView => withLinks().use(token),
    start(): void {
      sender.start();
      for (const companion of companions) companion.start();
    },
    setFarm(next: Farm): void {
      farm = next;
      book.setFarm(next);
      sender.setFarm(next);
      for (const companion of companions) companion.setFarm(next);
    },
    async stop(): Promise<void> {
      for (const companion of companions) await companion.stop();
      await sender.stop();
    },
  };
}
