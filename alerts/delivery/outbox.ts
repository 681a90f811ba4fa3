import type { Database } from 'better-sqlite3';
import type { Priority } from '../../shared/alarms.ts';
import type { OutgoingMail } from '../../shared/ports.ts';
import type { EpochMs } from '../../shared/time.ts';

export interface OutboxRow {
  id: number;
  seq: number;
  alarm: string;
  priority: Priority;
  recipient: string;
  channel: 'email';
  message: OutgoingMail;
  attempts: number;
  queuedAt: EpochMs;
  nextAt: EpochMs;
  lastError: string | null;
}

export interface QueuedMessage {
  /** Journal line of the transition it tells of. */
  seq: number;
  alarm: string;
  thread: string;
  priority: Priority;
  recipient: string;
  channel: OutboxRow['channel'];
  message: OutgoingMail;
  queuedAt: EpochMs;
}

export interface DeliveryCounts {
  waiting: number;
  sent: number;
  failed: number;
}

type Stored = Omit<OutboxRow, 'message'> & { message: string };

/**
 * Messages on their way out, one row per transition, person and channel. Rows are written in the
 * transaction of the transition itself, so neither can exist without the other.
 */
export function createOutbox(database: Database) {
  const insert = database.prepare(`
    INSERT INTO alarm_outbox (seq, alarm, thread, priority, recipient, channel, message, next_at, queued_at)
    VALUES (@seq, @alarm, @thread, @priority, @recipient, @channel, @message, @queuedAt, @queuedAt)
    ON CONFLICT (seq, recipient, channel) DO NOTHING`);
  const columns = `id, seq, alarm, priority, recipient, channel, message, attempts,
    queued_at AS queuedAt, next_at AS nextAt, last_error AS lastError`;
  // A later message about an alarm waits for the earlier one to the same person: 'over' never comes first.
  const inOrder = `NOT EXISTS (SELECT 1 FROM alarm_outbox earlier WHERE earlier.state = 'waiting'
    AND earlier.alarm = alarm_outbox.alarm AND earlier.recipient = alarm_outbox.recipient
    AND earlier.channel = alarm_outbox.channel AND earlier.id < alarm_outbox.id)`;
  const due = database.prepare<[EpochMs, number], Stored>(`
    SELECT ${columns} FROM alarm_outbox
    WHERE state = 'waiting' AND next_at <= ? AND ${inOrder} ORDER BY priority, id LIMIT ?`);
  const nextAt = database.prepare<[], { at: EpochMs | null }>(
    `SELECT min(next_at) AS at FROM alarm_outbox WHERE state = 'waiting' AND ${inOrder}`,
  );
  const done = database.prepare(
    `UPDATE alarm_outbox SET state = ?, attempts = attempts + 1, done_at = ?, last_error = ? WHERE id = ?`,
  );
  const later = database.prepare(
    'UPDATE alarm_outbox SET attempts = attempts + 1, next_at = ?, last_error = ? WHERE id = ?',
  );
  const counts = database.prepare<[string, string], { state: string; n: number }>(
    'SELECT state, count(*) AS n FROM alarm_outbox WHERE alarm = ? AND thread = ? GROUP BY state',
  );
  const backlog = database.prepare<[], { waiting: number; retrying: number; worst: number | null }>(`
    SELECT count(*) AS waiting, coalesce(sum(attempts > 0), 0) AS retrying, max(attempts) AS worst
    FROM alarm_outbox WHERE state = 'waiting'`);
  const lastTrouble = database.prepare<[], { lastError: string; recipient: string }>(`
    SELECT last_error AS lastError, recipient FROM alarm_outbox
    WHERE state = 'waiting' AND attempts > 0 ORDER BY priority, id LIMIT 1`);

  return {
    add: (queued: QueuedMessage) => insert.run({ ...queued, message: JSON.stringify(queued.message) }),
    /** Messages that may go now, most urgent first. */
    due: (now: EpochMs, limit: number): OutboxRow[] =>
      due.all(now, limit).map((row) => ({ ...row, message: JSON.parse(row.message) })),
    /** When the next message may go, or null when none waits. */
    nextAt: (): EpochMs | null => nextAt.get()!.at,
    markDone: (id: number, state: 'sent' | 'failed' | 'withheld', at: EpochMs, error: string | null) =>
      done.run(state, at, error, id),
    markLater: (id: number, at: EpochMs, error: string) => later.run(at, error, id),
    counts(alarm: string, thread: string): DeliveryCounts {
      const of = Object.fromEntries(counts.all(alarm, thread).map(({ state, n }) => [state, n]));
      return { waiting: of.waiting ?? 0, sent: of.sent ?? 0, failed: of.failed ?? 0 };
    },
    backlog: () => ({ ...backlog.get()!, trouble: lastTrouble.get() ?? null }),
  };
}
export type Outbox = ReturnType<typeof createOutbox>;
