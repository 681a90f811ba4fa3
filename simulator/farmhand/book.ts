import type { BagEvent, EventOf } from '../../shared/bags.ts';
import type { EpochMs } from '../../shared/time.ts';

/** What the people of a farm know of one batch: only what was recorded. */
export interface BookEntry {
  made: EventOf<'made'>;
  /** Standing bags and their shelves. */
  bags: Map<number, string | null>;
  lastShare: number;
  lastCheckAt: EpochMs | null;
  fullSeenAt: EpochMs | null;
  shaken: boolean;
}

const readEntry = (events: readonly BagEvent[]): BookEntry | undefined => {
  const taken = new Set(events.flatMap((event) => (event.kind === 'undone' ? [event.event] : [])));
  let entry: BookEntry | undefined;
  for (const event of events) {
    if (taken.has(event.id)) continue;
    if (event.kind === 'made') {
      const bags = new Map(Array.from({ length: event.count }, (_, i) => [i + 1, null] as const));
      entry = { made: event, bags, lastShare: 0, lastCheckAt: null, fullSeenAt: null, shaken: false };
    }
    if (entry !== undefined) follow(entry, event);
  }
  return entry;
};

function follow(entry: BookEntry, event: BagEvent): void {
  const which = 'bags' in event && event.bags ? event.bags : [...entry.bags.keys()];
  const standing = which.filter((bag) => entry.bags.has(bag));
  if (event.kind === 'placed' || event.kind === 'moved')
    for (const bag of standing) entry.bags.set(bag, event.shelf);
  else if (event.kind === 'used' || event.kind === 'discarded')
    for (const bag of standing) entry.bags.delete(bag);
  else if (event.kind === 'shaken') entry.shaken = true;
  else if (event.kind === 'checked') {
    entry.lastShare = event.share;
    entry.lastCheckAt = event.t;
    if (event.share >= 0.99) entry.fullSeenAt ??= event.t;
  }
}

export interface Book {
  write(event: BagEvent): void;
  /** Batches of which some bag stands, oldest first. */
  standing(): BookEntry[];
  /** How many bags stand on each shelf. */
  onShelves(): Map<string, number>;
  /** Every event of batches that still stand, for putting away. */
  save(): BagEvent[];
}

/** A book that is kept by writing events into it, in any order of batches; the same id twice counts once. */
export function createBook(events: readonly BagEvent[]): Book {
  const byBatch = new Map<string, BagEvent[]>();
  const entries = new Map<string, BookEntry>();

  const write = (event: BagEvent) => {
    const known = byBatch.get(event.batch) ?? [];
    if (known.some(({ id }) => id === event.id)) return;
    known.push(event);
    byBatch.set(event.batch, known);
    const entry = readEntry(known);
    if (entry !== undefined && entry.bags.size > 0) entries.set(event.batch, entry);
    else entries.delete(event.batch);
  };
  events.forEach(write);

  const standing = () => [...entries.values()].sort((a, b) => a.made.t - b.made.t);
  return {
    write,
    standing,
    onShelves() {
      const counts = new Map<string, number>();
      for (const { bags } of entries.values())
        for (const shelf of bags.values())
          if (shelf !== null) counts.set(shelf, (counts.get(shelf) ?? 0) + 1);
      return counts;
    },
    save: () => standing().flatMap(({ made }) => byBatch.get(made.batch)!),
  };
}
