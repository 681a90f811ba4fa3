import type { Database } from 'better-sqlite3';
import type { Priority } from '../../shared/alarms.ts';
import type { EpochMs } from '../../shared/time.ts';
import type { OutboxMessage } from './email.ts';

/** What a message is about: why an alarm was told, or a message of another kind. */
export type OutboxReason =
  | 'raised'
  | 'raised-again'
  | 're-alarm'
  | 'back-in-view'
  | 'returned'
  | 'gathered'
  | 'digest';

export interface QueuedMessage {
  /** What it tells of: the number of a journal line, or the name of a digest or gathered message. */
  key: string;
  /** Journal line of the transition it tells of. */
  seq: number | null;
  alarm: string | null;
  thread: string | null;
  reason: OutboxReason;
  priority: Priority;
  recipient: string;
  /** `email` or the id of a webhook. */
  channel: string;
  message: OutboxMessage;
  queuedAt: EpochMs;
  /** Not before: it is held until then, and told with others. Null: at once. */
  heldUntil: EpochMs | null;
}

export interface OutboxRow extends Omit<QueuedMessage, 'heldUntil'> {
  id: number;
  attempts: number;
  nextAt: EpochMs;
  lastError: string | null;
  failedOver: 0 | 1;
}

export type Outcome = 'sent' | 'failed' | 'withheld';
type Stored = Omit<OutboxRow, 'message'> & { message: string };

const read = (row: Stored): OutboxRow => ({ ...row, message: JSON.parse(row.message) });

/**
 * Messages on their way out, one row per transition, person and channel. Rows are written in the
 * transaction of the transition itself, so neither can exist without the other.
 */
export function createOutbox(database: Database) {
  const insert = database.prepare(`
    INSERT INTO alarm_outbox (key, seq, alarm, thread, reason, priority, recipient, channel, message, state,
      next_at, queued_at)
    VALUES (@key, @seq, @alarm, @thread, @reason, @priority, @recipient, @channel, @message, @state,
      @nextAt, @queuedAt)
    ON CONFLICT (key, recipient, channel) DO NOTHING`);
  const columns = `id, key, seq, alarm, thread, reason, priority, recipient, channel, message, attempts,
    queued_at AS queuedAt, next_at AS nextAt, last_error AS lastError, failed_over AS failedOver`;
  // A later message about an alarm waits for the earlier one to the same person: 'over' never comes first.
  const earlier = (also: string) => `EXISTS (SELECT 1 FROM alarm_outbox earlier
    WHERE earlier.state = 'waiting' AND earlier.alarm = alarm_outbox.alarm
    AND earlier.recipient = alarm_outbox.recipient AND earlier.channel = alarm_outbox.channel
    AND earlier.id < alarm_outbox.id ${also})`;
  const channels = database
    .prepare<[], string>(`SELECT DISTINCT channel FROM alarm_outbox WHERE state = 'waiting'`)
    .pluck();
  const due = database.prepare<[string, EpochMs, number], Stored>(`
    SELECT ${columns} FROM alarm_outbox
    WHERE state = 'waiting' AND channel = ? AND next_at <= ? AND NOT ${earlier('')} ORDER BY priority, id LIMIT ?`);
  const stuck = database.prepare<[], Stored>(`
    SELECT ${columns} FROM alarm_outbox
    WHERE state = 'waiting' AND failed_over = 0 AND ${earlier('AND earlier.failed_over = 1')} LIMIT 100`);
  const nextAt = database.prepare<[], { at: EpochMs | null }>(`
    SELECT min(at) AS at FROM (
      SELECT min(next_at) AS at FROM alarm_outbox WHERE state = 'waiting' AND NOT ${earlier('')}
      UNION ALL SELECT min(next_at) FROM alarm_outbox WHERE state = 'held')`);
  const done = database.prepare(
    `UPDATE alarm_outbox SET state = ?, attempts = attempts + 1, done_at = ?, last_error = ? WHERE id = ?`,
  );
  const later = database.prepare(
    'UPDATE alarm_outbox SET attempts = attempts + 1, next_at = ?, last_error = ? WHERE id = ?',
  );
  const replaceOthers = database.prepare(`
    UPDATE alarm_outbox SET state = 'replaced', done_at = @at
    WHERE key = @key AND recipient = @recipient AND id <> @id AND state = 'waiting' AND failed_over = 1`);
  const failedOver = database.prepare('UPDATE alarm_outbox SET failed_over = 1 WHERE id = ?');
  const held = database.prepare<[EpochMs], Stored>(
    `SELECT ${columns} FROM alarm_outbox WHERE state = 'held' AND next_at <= ? ORDER BY id`,
  );
  const hold = database.prepare(`UPDATE alarm_outbox SET next_at = ? WHERE id = ? AND state = 'held'`);
  const release = database.prepare(`UPDATE alarm_outbox SET state = 'waiting', next_at = ? WHERE id = ?`);
  const gather = database.prepare(
    `UPDATE alarm_outbox SET state = 'gathered', via = ?, done_at = ? WHERE id = ?`,
  );
  const used = database.prepare<[string, string], { channel: string }>(
    'SELECT channel FROM alarm_outbox WHERE key = ? AND recipient = ?',
  );
  const told = database.prepare<[string, string], { recipient: string; channel: string; state: string }>(`
    SELECT recipient, channel, state FROM alarm_outbox WHERE alarm = ? AND thread = ? ORDER BY id`);

  return {
    /** Returns the row's id, or null when this was queued before. */
    add({ heldUntil, ...queued }: QueuedMessage): number | null {
      const { changes, lastInsertRowid } = insert.run({
        ...queued,
        message: JSON.stringify(queued.message),
        state: heldUntil === null ? 'waiting' : 'held',
        nextAt: heldUntil ?? queued.queuedAt,
      });
      return changes === 0 ? null : Number(lastInsertRowid);
    },
    /** Channels that messages wait for. */
    channels: (): string[] => channels.all(),
    /** Messages of a channel that may go now, most urgent first. */
    due: (channel: string, now: EpochMs, limit: number): OutboxRow[] =>
      due.all(channel, now, limit).map(read),
    /** Messages behind one that has been given to another way already. */
    stuck: (): OutboxRow[] => stuck.all().map(read),
    /** When the next message may go or is released, or null when none waits. */
    nextAt: (): EpochMs | null => nextAt.get()!.at,
    markDone(row: OutboxRow, state: Outcome, at: EpochMs, error: string | null): void {
      done.run(state, at, error, row.id);
      if (state === 'sent') replaceOthers.run({ key: row.key, recipient: row.recipient, id: row.id, at });
    },
    markLater: (row: OutboxRow, at: EpochMs, error: string) => later.run(at, error, row.id),
    markFailedOver: (row: OutboxRow) => failedOver.run(row.id),
    /** Held messages whose time has come by `t`; all of them with infinity. */
    held: (t: EpochMs): OutboxRow[] => held.all(t).map(read),
    holdUntil: (id: number, t: EpochMs) => hold.run(t, id),
    release: (id: number, now: EpochMs) => release.run(now, id),
    markGathered: (id: number, via: number, at: EpochMs) => gather.run(via, at, id),
    /** Channels by which a person was told of one thing, or is being told. */
    usedChannels: (key: string, recipient: string): string[] =>
      used.all(key, recipient).map(({ channel }) => channel),
    /** Whom the messages of one raise went to, in the order they were queued. */
    told: (alarm: string, thread: string) => told.all(alarm, thread),
  };
}
