import type { Database } from 'better-sqlite3';
import type { EpochMs } from '../../shared/time.ts';
import type { Tidings } from './tidings.ts';

export interface EscalationRow {
  alarm: string;
  seq: number;
  thread: string;
  /** Index of the step told last. */
  step: number;
  /** When the next are told; null when everybody was. */
  dueAt: EpochMs | null;
  tidings: Tidings;
}
type Stored = Omit<EscalationRow, 'tidings'> & { news: string };

/** Alarms that rang and may not be acknowledged yet: one row an alarm, until it is. */
export function createEscalations(database: Database) {
  const put = database.prepare(`
    INSERT INTO alarm_escalation (alarm, seq, thread, step, due_at, news)
    VALUES (@alarm, @seq, @thread, @step, @dueAt, @news)
    ON CONFLICT (alarm) DO UPDATE SET seq = excluded.seq, thread = excluded.thread, step = excluded.step,
      due_at = excluded.due_at, news = excluded.news`);
  const move = database.prepare('UPDATE alarm_escalation SET step = ?, due_at = ? WHERE alarm = ?');
  const hurry = database.prepare(
    'UPDATE alarm_escalation SET due_at = @now WHERE alarm = @alarm AND seq = @seq AND due_at > @now',
  );
  const drop = database.prepare('DELETE FROM alarm_escalation WHERE alarm = ?');
  const columns = 'alarm, seq, thread, step, due_at AS dueAt, news';
  const due = database.prepare<[EpochMs], Stored>(
    `SELECT ${columns} FROM alarm_escalation WHERE due_at <= ? ORDER BY due_at LIMIT 100`,
  );
  const one = database.prepare<[string], Stored>(`SELECT ${columns} FROM alarm_escalation WHERE alarm = ?`);
  const nextAt = database.prepare<[], { at: EpochMs | null }>(
    'SELECT min(due_at) AS at FROM alarm_escalation WHERE due_at IS NOT NULL',
  );
  const read = ({ news, ...row }: Stored): EscalationRow => ({ ...row, tidings: JSON.parse(news) });

  return {
    begin(tidings: Tidings, step: number, dueAt: EpochMs): void {
      const { alarm, seq, thread } = tidings;
      put.run({ alarm, seq, thread, step, dueAt, news: JSON.stringify(tidings) });
    },
    moveTo: (alarm: string, step: number, dueAt: EpochMs | null) => move.run(step, dueAt, alarm),
    /** Nobody was reached by the messages of `seq`: the next are told at once. Returns whether there is such a row. */
    hurry: (alarm: string, seq: number, now: EpochMs): boolean => hurry.run({ alarm, seq, now }).changes > 0,
    end: (alarm: string) => drop.run(alarm),
    due: (now: EpochMs): EscalationRow[] => due.all(now).map(read),
    of(alarm: string): EscalationRow | null {
      const row = one.get(alarm);
      return row === undefined ? null : read(row);
    },
    nextAt: (): EpochMs | null => nextAt.get()!.at,
  };
}
