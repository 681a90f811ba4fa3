import type { BagEvent, EventOf } from '../../shared/bags.ts';
import { dayMs } from '../../shared/time.ts';

export const madeAt = Date.UTC(2026, 9, 1, 8);
export const day = (days: number): number => madeAt + days * dayMs;

/** Shortens writing events: `event('shaken', 7, { bags: [1] })` happens on day 7 to batch K7M-4RT. */
export function createEventWriter(batch = 'K7M-4RT') {
  let count = 0;
  return <K extends BagEvent['kind']>(
    kind: K,
    atDay: number,
    more: Omit<EventOf<K>, 'kind' | 'id' | 't' | 'who' | 'batch'> & { id?: string },
  ): EventOf<K> =>
    ({
      id: `${batch}-event-${String(++count).padStart(3, '0')}`,
      t: day(atDay),
      who: 'Ada',
      batch,
      kind,
      ...more,
    }) as unknown as EventOf<K>;
}

/** What a making says, apart from when. */
export const making = {
  strain: 'oyster-blue',
  container: 'bag-3l',
  count: 6,
  generation: 'G2',
  inoculation: { way: 'grain-to-grain', partsPerSpawn: 10 },
} as const;
