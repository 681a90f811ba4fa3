import type { BatchState } from '../../shared/batches.ts';
import { stepOf } from './grid.ts';

/** A look, a shake or a use as the computation meets it. */
export interface RunEvent {
  kind: 'look' | 'shake' | 'used';
  step: number;
  t: number;
  /** Place of the cohort in the batch. */
  cohort: number;
  judged: number;
  who: string;
  /** False for a look that counts with another cohort already. */
  counts: boolean;
  /** Seeds what is drawn on account of it. */
  id: string;
}

/** The first use of bags tells that they had filled; the next ones hardly more, whatever the reason was. */
function firstUse({ id, cohorts }: BatchState): RunEvent | undefined {
  let first: RunEvent | undefined;
  cohorts.forEach(({ left }, cohort) => {
    if (left?.how !== 'used' || !(first === undefined || left.t < first.t)) return;
    const { t } = left;
    first = { kind: 'used', step: stepOf(t), t, cohort, judged: 1, who: '', counts: true, id: `${id}-used` };
  });
  return first;
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
        who: check.who,
        counts: !seen.has(check.event),
        id: check.event,
      });
      seen.add(check.event);
    }
    for (const t of cohort.shakes)
      events.push({
        kind: 'shake',
        step: stepOf(t),
        t,
        cohort: index,
        judged: 0,
        who: '',
        counts: true,
        id: '',
      });
  });
  const used = firstUse(batch);
  if (used !== undefined) events.push(used);
  const order = (event: RunEvent) => (event.kind === 'shake' ? 1 : 0);
  return events.sort(
    (a, b) =>
      a.t - b.t || order(a) - order(b) || a.cohort - b.cohort || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0),
  );
}
