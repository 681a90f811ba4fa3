import type { AlarmJournalEntry, AlarmState } from '../../shared/alarms.ts';
import type { EpochMs } from '../../shared/time.ts';

/** An unbroken span in which an alarm stood in view, whatever was done about it. */
export interface Standing {
  alarm: string;
  title: string;
  since: EpochMs;
  /** Null while it still stands. */
  until: EpochMs | null;
}

const inView: ReadonlySet<AlarmState> = new Set([
  'unacknowledged',
  'acknowledged',
  'returned-unacknowledged',
  'latched-unacknowledged',
  'latched-acknowledged',
]);

/** Spans in which alarms stood in view, from journal lines in the order they were written. */
export function standingsOf(lines: Iterable<AlarmJournalEntry>): Standing[] {
  const all: Standing[] = [];
  const open = new Map<string, Standing>();
  for (const { alarm, title, t, to } of lines) {
    const standing = open.get(alarm);
    if (inView.has(to)) {
      if (standing) continue;
      const begun: Standing = { alarm, title, since: t, until: null };
      open.set(alarm, begun);
      all.push(begun);
    } else if (standing) {
      standing.until = t;
      open.delete(alarm);
    }
  }
  return all;
}
