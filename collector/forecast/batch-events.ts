import type { BatchState } from '../../shared/batches.ts';
import { stepOf } from './grid.ts';

/** A look or a shake as the computation meets it. */
export interface RunEvent {
  kind: 'look' | 'shake';
  step: number;
  t: number;
  /** Place of the cohort in the batch. */
  cohort: number;
  judged: number;
  /** False for a look that counts with another cohort already. */
  counts: boolean;
  /** Seeds what is drawn on account of it. */
  id: string;
}

/**
 * Events of a batch in the order in which they count: by time, a look before a shake of the same instant. A look
 * at bags that parted later is in several cohorts and counts once.
 */
export function eventsOf(batch: BatchState): RunEvent[] {
  const seen = new Set<string>();
  const events: RunEvent[] = [];
  batch.cohorts.forEach((cohort, index) => {
    for (const check of cohort.checks) {
      events.push({
        kind: 'look',
        step: stepOf(check.t),
        t: check.t,
        cohort: index,
        judged: check.share,
        counts: !seen.has(check.event),
        id: check.event,
      });
      seen.add(check.event);
    }
    for (const t of cohort.shakes)
      events.push({ kind: 'shake', step: stepOf(t), t, cohort: index, judged: 0, counts: true, id: '' });
  });
  const order = (event: RunEvent) => (event.kind === 'look' ? 0 : 1);
  return events.sort(
    (a, b) =>
      a.t - b.t || order(a) - order(b) || a.cohort - b.cohort || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0),
  );
}
