import type { AcknowledgeLinkView } from '../shared/alarms.ts';
import { AppError } from '../shared/errors.ts';
import type { Farm } from '../shared/farm/farm.ts';
import { createAlarmBook } from './alarm-book.ts';
import { createAckLinks } from './delivery/ack-links.ts';
import { createAcknowledgeLinks } from './delivery/acknowledge-link.ts';
import { createDelivery, type DeliveryNeeds } from './delivery/delivery.ts';

export interface AlarmDeskNeeds extends Omit<DeliveryNeeds, 'links' | 'raise'> {
  /** Signs links in messages; null: messages carry none. */
  linkKey: Buffer | null;
  /** Alarms look different now; called after the commit. */
  onChange: () => void;
}

/** The alarms of a site and all that gets them to people, wired together. */
export function createAlarmDesk({ linkKey, onChange, ...needs }: AlarmDeskNeeds) {
  const { database, clock } = needs;
  let { farm } = needs;
  const links = linkKey && createAckLinks(database, clock, linkKey);
  const onQueued = () => delivery.wake();
  const book = createAlarmBook({ database, farm, clock, links, onChange, onQueued });
  const delivery = createDelivery({ ...needs, links, raise: book.raise });
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
    delivery,
    /** What a link of a message stands for; changes nothing. */
    lookAtLink: (token: string): AcknowledgeLinkView => withLinks().look(token),
    /** Acknowledges by a link, once. Throws AppError 'conflict' with why it cannot be. */
    useLink: (token: string): AcknowledgeLinkView => withLinks().use(token),
    setFarm(next: Farm): void {
      farm = next;
      book.setFarm(next);
      delivery.setFarm(next);
    },
  };
}
export type AlarmDesk = ReturnType<typeof createAlarmDesk>;
