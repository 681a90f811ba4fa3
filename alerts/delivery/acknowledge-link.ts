import type { AcknowledgeLinkView, AlarmState } from '../../shared/alarms.ts';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { needsAcknowledgement } from '../state.ts';
import type { AckLink, AckLinks } from './ack-links.ts';

export interface AcknowledgeLinkNeeds {
  links: AckLinks;
  farm: () => Farm;
  raise: (alarm: string) => { thread: string; title: string; state: AlarmState } | null;
  acknowledge: (alarm: string, who: string) => void;
}

/** What lies behind a link of a message: looking changes nothing, a tap on its page acknowledges. */
export function createAcknowledgeLinks({ links, farm, raise, acknowledge }: AcknowledgeLinkNeeds) {
  const nameOf = (person: string) => farm().file.people.find(({ id }) => id === person)?.name ?? person;

  /** Why there is nothing to acknowledge behind a link that is good; null when there is. */
  const nothing = ({ alarm, thread }: AckLink): string | null => {
    const standing = raise(alarm);
    if (standing === null || standing.thread !== thread)
      return 'That alarm is over. If it rings again, a new message brings a new link.';
    if (standing.state === 'acknowledged') return 'It is acknowledged already.';
    return needsAcknowledgement(standing.state) ? null : `It is ${standing.state.replaceAll('-', ' ')} now.`;
  };

  const look = (token: string): AcknowledgeLinkView => {
    const opened = links.read(token);
    if (!opened.ok) return { usable: false, why: opened.why, alarm: null, title: null, who: null };
    const { link } = opened;
    const why = nothing(link);
    const title = raise(link.alarm)?.title ?? null;
    return { usable: why === null, why, alarm: link.alarm, title, who: nameOf(link.person) };
  };

  return {
    look,
    /** Acknowledges under the person's name, once. Throws AppError 'conflict' with why it cannot be. */
    use(token: string): AcknowledgeLinkView {
      const opened = links.read(token);
      const view = look(token);
      if (!opened.ok || !view.usable) throw new AppError('conflict', view.why ?? 'This link cannot be used.');
      const { link, id } = opened;
      acknowledge(link.alarm, `${view.who} (link in a message)`);
      // After it: a crash in between leaves a link that finds nothing more to do, not an alarm nobody has.
      links.spend(id, view.who ?? link.person);
      return { ...view, usable: false, why: 'Acknowledged.' };
    },
  };
}
