import { type BagEvent, bagEvent } from '../../shared/bags.ts';
import { bagHistories } from '../../shared/batches/derive-batch.ts';
import { effectiveEvents, undoneIds } from '../../shared/batches/effective-events.ts';
import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { EpochMs } from '../../shared/time.ts';

/** Clocks of phones and of this machine may differ by this much. */
const aheadMs = 120_000;

/** What is known when an event is checked. */
export interface Known {
  farm: Farm;
  now: EpochMs;
  /** Events of a batch, in any order; empty when it is unknown. */
  eventsOf(batch: string): readonly BagEvent[];
  /** Ids of batches that were poured from this one. */
  childrenOf(batch: string): readonly string[];
}

const say = (names: Iterable<string>): string => {
  const all = [...names].sort();
  return all.length === 0
    ? 'none is defined'
    : all.slice(0, 12).join(', ') + (all.length > 12 ? ', ...' : '');
};
const at = (t: EpochMs): string => new Date(t).toISOString();

function checkNames(event: BagEvent, farm: Farm): void {
  const expect = (what: string, name: string, known: ReadonlyMap<string, unknown>) => {
    if (known.has(name)) return;
    throw new AppError(
      'not-found',
      `There is no ${what} '${name}' in the farm file. Known: ${say(known.keys())}.`,
      { details: { [what]: name } },
    );
  };
  if (event.kind === 'made') {
    expect('strain', event.strain, farm.strains);
    expect('container', event.container, farm.containers);
  }
  if (event.kind === 'placed' || event.kind === 'moved') expect('shelf', event.shelf, farm.shelves);
}

function checkParent(event: BagEvent, known: Known): void {
  if (event.kind !== 'made' || event.parent === undefined) return;
  const { batch, bag } = event.parent;
  const made = bagHistories(known.eventsOf(batch))?.made;
  if (made === undefined || batch === event.batch)
    throw new AppError('not-found', `There is no batch '${batch}' to be the parent of ${event.batch}.`);
  if (bag !== undefined && bag > made.count)
    throw new AppError('out-of-range', `The parent ${batch} has bags 1 to ${made.count}, not ${bag}.`);
  if (made.t > event.t)
    throw new AppError(
      'out-of-range',
      `The parent ${batch} was made ${at(made.t)}, after ${event.batch} (${at(event.t)}). Correct one of the times.`,
    );
}

function checkTakingBack(event: BagEvent, known: Known, events: readonly BagEvent[]): void {
  if (event.kind !== 'undone') return;
  const target = events.find((other) => other.id === event.event);
  if (target === undefined)
    throw new AppError('not-found', `Batch ${event.batch} has no event '${event.event}' to take back.`);
  if (undoneIds(events).has(target.id))
    throw new AppError('conflict', `That event of ${event.batch} (${target.kind}) was taken back already.`);
  const children = target.kind === 'made' ? known.childrenOf(event.batch) : [];
  if (children.length > 0)
    throw new AppError(
      'conflict',
      `${event.batch} cannot be unmade: ${say(children)} came from it. Take their making back first.`,
    );
}

/** Refuses what makes the batch's history impossible that was possible before: the new event, or one after it. */
function checkHistory(event: BagEvent, events: readonly BagEvent[]): void {
  const before = bagHistories(events);
  if (event.kind === 'made') {
    if (before === undefined) return;
    throw new AppError(
      'conflict',
      `There is a batch ${event.batch} already, made ${at(before.made.t)}. Give this one another name.`,
    );
  }
  const after = bagHistories([...events, event]);
  if (before === undefined) {
    if (after !== undefined) return;
    throw new AppError(
      'not-found',
      `There is no batch '${event.batch}'. Check the name, or record its making first.`,
    );
  }
  if (after === undefined) {
    if (effectiveEvents(events).length === 1) return;
    throw new AppError(
      'conflict',
      `${event.batch} cannot be unmade while events of it stand. Take those back first, or discard its bags.`,
    );
  }
  const old = new Set(before.problems.map((problem) => problem.event.id));
  const fresh = after.problems.find((problem) => !old.has(problem.event.id));
  if (fresh === undefined) return;
  const which =
    fresh.event.id === event.id
      ? `${event.batch}, ${event.kind} at ${at(event.t)}`
      : `${event.batch}, ${event.kind} at ${at(event.t)} would contradict ${fresh.event.kind} at ${at(fresh.event.t)}`;
  throw new AppError(
    'out-of-range',
    `${which}: ${fresh.why}. Correct time or bags, or take the other back.`,
    {
      details: { contradicts: fresh.event.id },
    },
  );
}

/**
 * The event in its stored form.
 *
 * @throws AppError `bad-request` that lists every field that is wrong.
 */
export function parseEvent(given: unknown): BagEvent {
  const parsed = bagEvent.safeParse(given);
  if (parsed.success) return parsed.data;
  const problems = parsed.error.issues.map((issue) => `${issue.path.join('.') || 'event'}: ${issue.message}`);
  throw new AppError('bad-request', `The event is not well formed: ${problems.join('; ')}.`, {
    details: { problems },
  });
}

/**
 * Checks a well-formed event against the farm and against what is recorded.
 *
 * @throws AppError `not-found`, `out-of-range` or `conflict` with what, where and how to mend it.
 */
export function checkEvent(event: BagEvent, known: Known): void {
  if (event.t > known.now + aheadMs)
    throw new AppError(
      'out-of-range',
      `The time of this event, ${at(event.t)}, lies ahead (now ${at(known.now)}). Correct it, or the clock.`,
    );
  const events = known.eventsOf(event.batch);
  checkNames(event, known.farm);
  checkParent(event, known);
  checkTakingBack(event, known, events);
  checkHistory(event, events);
}
