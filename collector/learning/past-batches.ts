import type { Database } from 'better-sqlite3';
import type { BagEvent } from '../../shared/bags.ts';
import { deriveBatch } from '../../shared/batches/derive-batch.ts';
import type { BatchState } from '../../shared/batches.ts';
import type { EpochMs } from '../../shared/time.ts';

/** The batches of a database as they came to be known, in that order, each with all its cohorts. */
export function createPastBatches(database: Database) {
  const known = database
    .prepare<[], [EpochMs, string]>(
      'SELECT coalesce(recorded_at, t) AS known, body FROM bag_event ORDER BY known, seq',
    )
    .raw()
    .all()
    .map(([at, body]) => ({ at, event: JSON.parse(body) as BagEvent }));
  const events = new Map<string, BagEvent[]>();
  const states = new Map<string, BatchState>();
  let next = 0;
  return {
    /** Takes in what became known up to an instant. @returns the batches that changed. */
    moveTo(t: EpochMs): BatchState[] {
      const touched = new Set<string>();
      for (; next < known.length && known[next]!.at <= t; next++) {
        const { event } = known[next]!;
        const own = events.get(event.batch) ?? [];
        own.push(event);
        events.set(event.batch, own);
        touched.add(event.batch);
      }
      return [...touched].flatMap((id) => {
        const state = deriveBatch(events.get(id)!, 'all');
        if (state !== undefined) states.set(id, state);
        else states.delete(id);
        return state ?? [];
      });
    },
    /** Batches as known by now. */
    states: (): ReadonlyMap<string, BatchState> => states,
  };
}
