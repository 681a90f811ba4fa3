import type { Database } from 'better-sqlite3';
import type { BagEvent } from '../../shared/bags.ts';
import { deriveBatch } from '../../shared/batches/derive-batch.ts';
import type { BatchState } from '../../shared/batches.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { groupBy } from '../../shared/group-by.ts';
import type { Clock, EpochMs } from '../../shared/time.ts';
import { isRepeatedEvent } from '../store/repeated-event.ts';
import { checkEvent, type Known, parseEvent } from './check-event.ts';

interface EventRow {
  seq: number;
  body: string;
}
interface Page {
  events: BagEvent[];
  /** Derived when asked for. */
  state: BatchState | undefined | 'stale';
}

export interface BagBookParts {
  database: Database;
  farm: () => Farm;
  clock: Pick<Clock, 'now'>;
}

/** Every bag event ever recorded, and the batches as they follow from them. */
export function createBagBook({ database, farm, clock }: BagBookParts) {
  const newest = database.prepare<[], number | null>('SELECT max(seq) FROM bag_event').pluck();
  const since = database.prepare<[number], EventRow>(
    'SELECT seq, body FROM bag_event WHERE seq > ? ORDER BY seq',
  );
  const byId = database.prepare<[string], string>('SELECT body FROM bag_event WHERE id = ?').pluck();
  const insert = database.prepare(
    'INSERT INTO bag_event (id, t, recorded_at, batch, kind, body) VALUES (?, ?, ?, ?, ?, ?)',
  );
  const known = database
    .prepare<{ t: number; knownThen: number }, string>(
      `SELECT body FROM bag_event
       WHERE (t <= :t OR kind = 'undone') AND (NOT :knownThen OR coalesce(recorded_at, t) <= :t) ORDER BY seq`,
    )
    .pluck();

  const pages = new Map<string, Page>();
  const children = new Map<string, Set<string>>();
  let readTo = 0;
  /** What was read inside a transaction of others may yet be rolled back. */
  let doubtful = false;

  /** Takes in what was recorded since, by whomever. */
  function catchUp(): void {
    if (database.inTransaction) doubtful = true;
    else if (doubtful) {
      pages.clear();
      children.clear();
      readTo = 0;
      doubtful = false;
    }
    if (newest.get() === readTo) return;
    for (const { seq, body } of since.all(readTo)) {
      add(JSON.parse(body) as BagEvent);
      readTo = seq;
    }
  }
  function add(event: BagEvent): void {
    const page = pages.get(event.batch) ?? { events: [], state: 'stale' };
    page.events.push(event);
    page.state = 'stale';
    pages.set(event.batch, page);
    if (event.kind !== 'made' || event.parent === undefined) return;
    const brood = children.get(event.parent.batch) ?? new Set();
    children.set(event.parent.batch, brood.add(event.batch));
  }
  function stateOf(page: Page | undefined): BatchState | undefined {
    if (page?.state === 'stale') page.state = deriveBatch(page.events);
    return page?.state as BatchState | undefined;
  }
  const batch = (id: string): BatchState | undefined => {
    catchUp();
    return stateOf(pages.get(id));
  };

  const whatIsKnown = (now: EpochMs): Known => ({
    farm: farm(),
    now,
    eventsOf: (id) => pages.get(id)?.events ?? [],
    childrenOf: (id) =>
      [...(children.get(id) ?? [])].filter((child) => stateOf(pages.get(child))?.parent?.batch === id),
  });

  function write(given: BagEvent, recordedAt: EpochMs | null): boolean {
    const event = parseEvent(given);
    catchUp();
    if (isRepeatedEvent(event, byId.get(event.id))) return false;
    checkEvent(event, whatIsKnown(clock.now()));
    insert.run(event.id, event.t, recordedAt, event.batch, event.kind, JSON.stringify(event));
    return true;
  }

  return {
    /**
     * Checks an event against the farm and what is known, and stores it. The same event sent twice is
     * stored once.
     *
     * @returns whether it is new.
     * @throws AppError that says what is wrong, where, and how to mend it.
     */
    record: (event: BagEvent): boolean => write(event, clock.now()),
    /** As `record`, for history brought in afterwards: it counts as known when it happened. */
    recordPast: (event: BagEvent): boolean => write(event, null),
    /** Every batch, in order of making. */
    batches(): BatchState[] {
      catchUp();
      const states = [...pages.values()].map(stateOf).filter((state) => state !== undefined);
      return states.sort((a, b) => a.madeAt - b.madeAt || (a.id < b.id ? -1 : 1));
    },
    batch,
    /** A batch with all its cohorts, those that left too: what a forecast learns from. */
    wholeBatch(id: string): BatchState | undefined {
      catchUp();
      return deriveBatch(pages.get(id)?.events ?? [], 'all');
    },
    /** All events of a batch as recorded, those taken back included. */
    events(id: string): BagEvent[] {
      catchUp();
      return [...(pages.get(id)?.events ?? [])];
    },
    /**
     * Every batch as it stood at an instant.
     *
     * @param options.knownThen leaves out what was recorded only later: what a screen showed at that instant,
     *   not what is known of it now.
     */
    asOf(t: EpochMs, { knownThen = false } = {}): BatchState[] {
      const events = known
        .all({ t, knownThen: knownThen ? 1 : 0 })
        .map((body) => JSON.parse(body) as BagEvent);
      const states = [...groupBy(events, (event) => event.batch).values()].map((list) => deriveBatch(list));
      return states.filter((state) => state !== undefined).sort((a, b) => a.madeAt - b.madeAt);
    },
  };
}
export type BagBook = ReturnType<typeof createBagBook>;
