import type { EpochMs } from '../../shared/time.ts';
import type { HeldSpan } from '../../shared/unload/watched.ts';
import type { UnloadEventKind } from '../../shared/unloads.ts';
import type { UnloadBook } from './unload-book.ts';
import { heldUntilOf } from './views.ts';

/** Times in which unloads held alarms back: from and until what alarms had been told, by the plan there was. */
export function heldSpans(book: UnloadBook): HeldSpan[] {
  return book.states().flatMap((unload) => {
    if (!unload.hasBegun) return [];
    const { id, room, at } = unload;
    const events = book.events(id);
    const told = (kinds: readonly UnloadEventKind[], otherwise: EpochMs): EpochMs => {
      const event = events.find(({ kind }) => kinds.includes(kind));
      return event === undefined ? otherwise : book.toldAt(event);
    };
    const over = told(['ended', 'withdrawn'], Number.POSITIVE_INFINITY);
    const planned = heldUntilOf(unload, book.wasPlanned(id) ? book.plan(id) : null);
    return { room, from: told(['begun'], at), to: Math.min(over, planned) };
  });
}
