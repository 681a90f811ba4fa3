import type { BagEvent, BagEventKind } from '../bags.ts';
import { groupBy } from '../group-by.ts';

/** Of events at one instant the making comes first, then standing, then looking and handling, then leaving. */
const rank: Record<BagEventKind, number> = {
  made: 0,
  placed: 1,
  moved: 2,
  checked: 3,
  shaken: 4,
  noted: 5,
  used: 6,
  discarded: 7,
  undone: 8,
};

/** Order in which events happened; the order in which they were recorded plays no part. */
export const byTime = (a: BagEvent, b: BagEvent): number =>
  a.t - b.t || rank[a.kind] - rank[b.kind] || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0);

/** Ids of events that were taken back. Taking a taking-back back restores what it took. */
export function undoneIds(events: readonly BagEvent[]): Set<string> {
  const undone = new Set<string>();
  const takings = events.filter((event) => event.kind === 'undone');
  const byTarget = groupBy(takings, (taking) => taking.event);
  const holds = (id: string, above: readonly string[]): boolean =>
    !(byTarget.get(id) ?? []).some(
      (taking) => !above.includes(taking.id) && holds(taking.id, [...above, taking.id]),
    );
  for (const id of byTarget.keys()) if (!holds(id, [])) undone.add(id);
  return undone;
}

/** Events that count, ordered by time: neither taken back nor takings-back themselves. */
export function effectiveEvents(events: readonly BagEvent[]): BagEvent[] {
  const undone = undoneIds(events);
  return events.filter((event) => event.kind !== 'undone' && !undone.has(event.id)).sort(byTime);
}
