import type { BagEvent } from '../../../shared/bags.ts';
import { writeBags } from '../../../shared/batches/bag-list.ts';
import { momentOf } from '../format/time.ts';
import { batch as text } from '../text/batch.ts';
import { common } from '../text/common.ts';
import { eventWords, takenBack } from './event-words.ts';

interface Props {
  events: readonly BagEvent[];
  failed: string | null;
  zone: string;
}

/** Everything that was done to this batch, newest first; what was taken back stays, struck out. */
export function Events({ events, failed, zone }: Props) {
  const undone = takenBack(events);
  const head = text.eventHead;
  return (
    <section class="card events" aria-labelledby="events">
      <h2 id="events">{text.events}</h2>
      {failed === null ? null : <p>{common.failed(failed)}</p>}
      <div class="table-wrap">
        <table class="stack">
          <thead>
            <tr>
              <th scope="col">{head.when}</th>
              <th scope="col">{head.what}</th>
              <th scope="col">{head.bags}</th>
              <th scope="col">{head.who}</th>
            </tr>
          </thead>
          <tbody>
            {[...events].reverse().map((event) => (
              <tr key={event.id} class={undone.has(event.id) ? 'event-undone' : undefined}>
                <td class="when">{momentOf(event.t, zone)}</td>
                <td>{eventWords(event)}</td>
                <td>{'bags' in event && event.bags !== undefined ? writeBags(event.bags) : text.allBags}</td>
                <td>{event.who}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
