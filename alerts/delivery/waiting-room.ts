import type { Database } from 'better-sqlite3';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Clock } from '../../shared/time.ts';
import { gatheredMailText, messageIdOf } from './email.ts';
import type { Notifier } from './notifier.ts';
import { createOutbox, type OutboxRow } from './outbox.ts';

/** Messages of low priority that wait for the end of quiet hours, and are then told in one. */
export function createWaitingRoom(database: Database, clock: Clock, notifier: Notifier) {
  const outbox = createOutbox(database);

  const tellTogether = (farm: Farm, rows: readonly OutboxRow[]) => {
    const now = clock.now();
    const [first] = rows;
    const last = rows[rows.length - 1]!;
    if (first === last) return outbox.release(last.id, now);
    const key = `gathered/${now.toString(36)}.${last.id}`;
    const { recipient, channel } = last;
    const id = outbox.add({
      ...{ key, seq: null, alarm: null, thread: null, reason: 'gathered', priority: 3, recipient, channel },
      message: {
        ...gatheredMailText(rows.map(({ message }) => message)),
        messageId: messageIdOf(key.replace('/', '.'), recipient, farm.file.site.id),
        data: { messages: rows.map(({ message }) => message.data) },
      },
      queuedAt: now,
      heldUntil: null,
    });
    if (id !== null) for (const row of rows) outbox.markGathered(row.id, id, now);
  };

  return {
    /** Releases what has waited long enough; quiet hours that were changed meanwhile count. */
    open(farm: Farm): void {
      const now = clock.now();
      const ready = outbox.held(now);
      if (ready.length === 0) return;
      database
        .transaction(() => {
          const together = new Map<string, OutboxRow[]>();
          for (const row of ready) {
            const until = untilFor(farm, notifier, row);
            if (until !== null && until > now) outbox.holdUntil(row.id, until);
            else {
              const key = `${row.recipient} ${row.channel}`;
              together.set(key, [...(together.get(key) ?? []), row]);
            }
          }
          for (const rows of together.values()) tellTogether(farm, rows);
        })
        .immediate();
    },
    /** Works out anew until when everything waits, after a reload of the farm file. */
    reconsider(farm: Farm): void {
      database
        .transaction(() => {
          for (const row of outbox.held(Number.MAX_SAFE_INTEGER))
            outbox.holdUntil(row.id, untilFor(farm, notifier, row) ?? clock.now());
        })
        .immediate();
    },
  };
}

const untilFor = (farm: Farm, notifier: Notifier, row: OutboxRow) => {
  const person = farm.file.people.find(({ id }) => id === row.recipient);
  return person === undefined ? null : notifier.heldUntil(farm, person, row.priority);
};
