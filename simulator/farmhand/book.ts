import type { BagEvent } from '../../shared/bags.ts';
import { deriveBatch } from '../../shared/batches/derive-batch.ts';
import type { BatchState } from '../../shared/batches.ts';
import type { EpochMs } from '../../shared/time.ts';

/** What the people of a farm know of one batch: only what was recorded. */
export interface BookEntry extends Omit<BatchState, 'cohorts'> {
  /** Standing bags and their shelves. */
  bags: ReadonlyMap<number, string | null>;
  lastShare: number;
  lastCheckAt: EpochMs | null;
  fullSeenAt: EpochMs | null;
  shaken: boolean;
}

function readEntry(events: readonly BagEvent[]): BookEntry | undefined {
  const state = deriveBatch(events);
  if (state === undefined || state.cohorts.length === 0) return undefined;
  const { cohorts } = state;
  const checks = cohorts.flatMap((cohort) => cohort.checks).sort((a, b) => a.t - b.t);
  return {
    ...state,
    bags: new Map(cohorts.flatMap(({ bags, shelf }) => bags.map((bag) => [bag, shelf] as const))),
    lastShare: checks.at(-1)?.share ?? 0,
    lastCheckAt: checks.at(-1)?.t ?? null,
    fullSeenAt: checks.find(({ share }) => share >= 0.99)?.t ?? null,
    shaken: cohorts.some(({ shakes }) => shakes.length > 0),
  };
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

/** A book that is kept by writing events into it; the same id twice counts once. */
export function createBook(events: readonly BagEvent[]): Book {
  const byBatch = new Map<string, BagEvent[]>();
  const entries = new Map<string, BookEntry>();

  const write = (event: BagEvent) => {
    const known = byBatch.get(event.batch) ?? [];
    if (known.some(({ id }) => id === event.id)) return;
    known.push(event);
    byBatch.set(event.batch, known);
    const entry = readEntry(known);
    if (entry === undefined) entries.delete(event.batch);
    else entries.set(event.batch, entry);
  };
  events.forEach(write);

  const standing = () => [...entries.values()].sort((a, b) => a.madeAt - b.madeAt);
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
    save: () => standing().flatMap(({ id }) => byBatch.get(id)!),
  };
}
