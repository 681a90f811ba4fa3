import type { BagEvent, EventOf } from '../../shared/bags.ts';
import type { Container } from '../../shared/farm/schema.ts';
import type { EpochMs } from '../../shared/time.ts';
import { createRandom, seedOf } from '../random.ts';
import { type Bag, type BagState, createBag, freshBagState } from './bag.ts';
import { drawBag, drawBatch, type StrainTruth } from './hidden.ts';

/** A bag that stands somewhere, or stood. */
export interface StandingState {
  number: number;
  shelf: string | null;
  goneAt: EpochMs | null;
  bag: BagState;
}

export interface BatchRecord {
  id: string;
  strain: string;
  container: string;
  inoculation: EventOf<'made'>['inoculation'];
  bags: StandingState[];
  /** What was applied, oldest first, so that an undo knows what it takes back. */
  applied: { event: BagEvent; shelvesBefore: Record<number, string | null> }[];
  /** What was taken back and by which event, so that taking the taking-back back does it again. */
  taken: { by: string; event: BagEvent }[];
}

export interface Batch {
  record: BatchRecord;
  /** By place in `record.bags`. */
  lively: Bag[];
}

/** Bags as poured; spawn from a contaminated parent carries it on. */
export function makeBatch(
  event: EventOf<'made'>,
  seed: number,
  strain: StrainTruth,
  parentContaminated: boolean,
  tempC: number,
): BatchRecord {
  const random = createRandom(seedOf(seed, 'batch', event.batch));
  const draw = drawBatch(random);
  return {
    id: event.batch,
    strain: event.strain,
    container: event.container,
    inoculation: event.inoculation,
    applied: [],
    taken: [],
    bags: Array.from({ length: event.count }, (_, i) => {
      const truth = drawBag(strain, draw, event.inoculation.way, parentContaminated ? 30 : 1, random);
      const bag = freshBagState(seedOf(seed, 'bag', event.batch, i + 1), event.inoculation, truth, tempC);
      return { number: i + 1, shelf: null, goneAt: null, bag };
    }),
  };
}

export const enliven = (
  record: BatchRecord,
  container: Container,
  strain: StrainTruth,
  stepS: number,
): Batch => ({
  record,
  lively: record.bags.map(({ bag }) => createBag(bag, container, strain, stepS)),
});

const concerned = (batch: Batch, numbers: readonly number[] | undefined) =>
  batch.record.bags.flatMap((standing, i) =>
    numbers === undefined
      ? standing.goneAt === null
        ? [i]
        : []
      : numbers.includes(standing.number)
        ? [i]
        : [],
  );

/** Carries one event out on the bags; what has no effect on them (a check, a note) passes. */
export function applyToBatch(batch: Batch, event: BagEvent): void {
  const { record, lively } = batch;
  if (event.kind === 'undone') {
    undo(batch, event.id, event.event);
    return;
  }
  const which = event.kind === 'made' ? [] : concerned(batch, event.bags);
  const shelvesBefore = Object.fromEntries(which.map((i) => [record.bags[i]!.number, record.bags[i]!.shelf]));
  record.applied.push({ event, shelvesBefore });
  // Only a making that was taken back comes here: bags are made before they can be acted on.
  if (event.kind === 'made') for (const standing of record.bags) standing.goneAt = null;
  for (const i of which) {
    const standing = record.bags[i]!;
    if (event.kind === 'placed' || event.kind === 'moved') standing.shelf = event.shelf;
    else if (event.kind === 'shaken') lively[i]!.shake();
    else if (event.kind === 'used' || event.kind === 'discarded') standing.goneAt = event.t;
  }
}

function undo(batch: Batch, by: string, target: string): void {
  const { record, lively } = batch;
  const again = record.taken.findIndex((taking) => taking.by === target);
  if (again >= 0) {
    const [{ event }] = record.taken.splice(again, 1) as [BatchRecord['taken'][number]];
    applyToBatch(batch, event);
    return;
  }
  const at = record.applied.findIndex(({ event }) => event.id === target);
  if (at < 0) return;
  const [{ event, shelvesBefore }] = record.applied.splice(at, 1) as [BatchRecord['applied'][number]];
  record.taken.push({ by, event });
  record.bags.forEach((standing, i) => {
    if (event.kind === 'made') standing.goneAt = event.t;
    if (!(standing.number in shelvesBefore)) return;
    if (event.kind === 'placed' || event.kind === 'moved') standing.shelf = shelvesBefore[standing.number]!;
    else if (event.kind === 'shaken') lively[i]!.takeBackShake();
    else if (event.kind === 'used' || event.kind === 'discarded') standing.goneAt = null;
  });
}
