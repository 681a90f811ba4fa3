import type { Database } from 'better-sqlite3';
import type { AlarmDelivery } from '../../shared/alarm-detail.ts';
import type { EpochMs } from '../../shared/time.ts';

export interface DeliveryCounts {
  waiting: number;
  sent: number;
  failed: number;
}

/** How a row stands, seen through the message it was gathered into. */
const standing = `
  SELECT box.*, coalesce(via.state, box.state) AS stands,
    coalesce(via.done_at, box.done_at) AS ended FROM alarm_outbox box
  LEFT JOIN alarm_outbox via ON via.id = box.via`;

/** Questions about deliveries, for screens and the health page. */
export function createOutboxViews(database: Database) {
  // A person told by any channel is told; one whose every channel was given up is not.
  const counts = database.prepare<[string, string], DeliveryCounts>(`
    SELECT coalesce(sum(best = 3), 0) AS sent, coalesce(sum(best = 2), 0) AS waiting,
      coalesce(sum(best = 1), 0) AS failed
    FROM (SELECT max(CASE stands WHEN 'sent' THEN 3 WHEN 'waiting' THEN 2 WHEN 'held' THEN 2
        WHEN 'failed' THEN 1 ELSE 0 END) AS best
      FROM (${standing} WHERE box.alarm = ? AND box.thread = ?) GROUP BY key, recipient)`);
  const backlog = database.prepare<[], { waiting: number; retrying: number; worst: number | null }>(`
    SELECT count(*) AS waiting, coalesce(sum(attempts > 0), 0) AS retrying, max(attempts) AS worst
    FROM alarm_outbox WHERE state = 'waiting'`);
  const trouble = database.prepare<[], { lastError: string; recipient: string }>(`
    SELECT last_error AS lastError, recipient FROM alarm_outbox
    WHERE state = 'waiting' AND attempts > 0 ORDER BY priority, id LIMIT 1`);
  const overdue = database.prepare<[EpochMs], { n: number }>(`
    SELECT count(*) AS n FROM alarm_outbox WHERE state = 'waiting' AND queued_at <= ?`);
  const list = database.prepare<[string, number], AlarmDelivery>(`
    SELECT seq, reason, recipient, channel, stands AS state, attempts, queued_at AS queuedAt,
      CASE WHEN stands IN ('waiting', 'held') THEN next_at END AS nextAt, ended AS doneAt,
      last_error AS lastError
    FROM (${standing}) WHERE alarm = ? ORDER BY id DESC LIMIT ?`);

  return {
    /** Persons told, being told, and given up, over the messages of one raise. */
    counts: (alarm: string, thread: string): DeliveryCounts => counts.get(alarm, thread)!,
    backlog: () => ({ ...backlog.get()!, trouble: trouble.get() ?? null }),
    /** Messages queued by `t` that are not out yet. */
    overdue: (t: EpochMs): number => overdue.get(t)!.n,
    /** Messages of one alarm, newest first. */
    deliveries: (alarm: string, limit: number): AlarmDelivery[] => list.all(alarm, limit),
  };
}
