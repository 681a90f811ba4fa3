import type { BagEvent } from '../../../shared/bags.ts';
import { percentOf } from '../format/value.ts';
import { batch as text } from '../text/batch.ts';

/** What an event says, in a few words: `checked: about 40 %`, `moved to B2`. */
export function eventWords(event: BagEvent): string {
  const word = text.event[event.kind];
  switch (event.kind) {
    case 'made':
      return `${word}: ${event.count}, ${text.ways(event.inoculation)}`;
    case 'placed':
    case 'moved':
      return `${word}: ${event.shelf}`;
    case 'checked':
      return `${word}: ${percentOf(event.share)}`;
    case 'used':
      return event.purpose === undefined ? word : `${word}: ${event.purpose}`;
    case 'discarded':
      return `${word}: ${event.reason}`;
    case 'noted':
      return `${word}: ${event.text}`;
    default:
      return word;
  }
}

/** Ids of events that were taken back. */
export const takenBack = (events: readonly BagEvent[]): ReadonlySet<string> =>
  new Set(events.flatMap((event) => (event.kind === 'undone' ? [event.event] : [])));
