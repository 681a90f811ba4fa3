import type { BagEvent, EventOf } from '../bags.ts';
import type { Cohort } from '../batches.ts';
import { groupBy } from '../group-by.ts';
import type { EpochMs } from '../time.ts';

type Making = EventOf<'made'>;

/** Bags of one batch with one and the same history, standing or gone. */
export interface BagGroup extends Pick<Cohort, 'bags' | 'stays' | 'checks' | 'shakes'> {
  /** How and when they left; null while they stand. */
  left: { t: EpochMs; how: 'used' | 'discarded'; reason: string } | null;
}

/** An event that cannot have happened as told, and why. */
export interface Problem {
  event: BagEvent;
  why: string;
}

const withStay = (group: BagGroup, from: EpochMs, shelf: string): BagGroup => {
  // A stay that lasted no time never was.
  const stays = group.stays.filter((stay) => stay.from < from);
  return stays.at(-1)?.shelf === shelf
    ? { ...group, stays }
    : { ...group, stays: [...stays, { from, shelf }] };
};

/** What an event does to a group that it concerns as a whole. */
function changed(group: BagGroup, event: BagEvent): BagGroup {
  const { t, who, id } = event;
  switch (event.kind) {
    case 'placed':
    case 'moved':
      return withStay(group, t, event.shelf);
    case 'checked':
      return { ...group, checks: [...group.checks, { t, share: event.share, who, event: id }] };
    case 'shaken':
      return { ...group, shakes: [...group.shakes, t] };
    case 'used':
      return { ...group, left: { t, how: 'used', reason: event.purpose ?? '' } };
    case 'discarded':
      return { ...group, left: { t, how: 'discarded', reason: event.reason } };
    default:
      return group;
  }
}

const listed = (bags: readonly number[]): string =>
  bags.length === 1
    ? `bag ${bags[0]}`
    : `bags ${bags.slice(0, 8).join(', ')}${bags.length > 8 ? ' ...' : ''}`;

function whyNot(event: BagEvent, made: Making, groups: readonly BagGroup[]): string | undefined {
  if (event.kind === 'made') return 'the batch was made already';
  if (event.t < made.t) return 'it lies before the batch was made';
  if (event.kind === 'undone' || event.kind === 'noted') return undefined;
  const wanted = 'bags' in event ? event.bags : undefined;
  const beyond = wanted?.filter((bag) => bag > made.count) ?? [];
  if (beyond.length > 0) return `the batch has bags 1 to ${made.count}, not ${listed(beyond)}`;
  const standing = new Set(groups.flatMap((group) => (group.left === null ? group.bags : [])));
  if (wanted === undefined) return standing.size === 0 ? 'no bag of the batch stood then' : undefined;
  const gone = wanted.filter((bag) => !standing.has(bag));
  return gone.length > 0 ? `${listed(gone)} had been used or discarded by then` : undefined;
}

/**
 * Follows a batch's bags through its events, splitting groups where their histories part.
 * An event that cannot have happened to some bags is told as a problem and leaves those alone.
 *
 * @param events that count, ordered by time, the making among them (see effective-events.ts).
 */
export function followBags(made: Making, events: readonly BagEvent[]) {
  const all = Array.from({ length: made.count }, (_, index) => index + 1);
  let groups: BagGroup[] = [
    { bags: all, stays: [{ from: made.t, shelf: null }], checks: [], shakes: [], left: null },
  ];
  const problems: Problem[] = [];
  for (const event of events) {
    if (event === made) continue;
    const why = whyNot(event, made, groups);
    if (why !== undefined) problems.push({ event, why });
    if (event.kind === 'made' || event.kind === 'noted' || event.t < made.t) continue;
    const wanted = 'bags' in event && event.bags ? new Set(event.bags) : undefined;
    groups = groups.flatMap((group) => {
      if (group.left !== null) return [group];
      const [inside, outside] = split(group.bags, wanted);
      const touched = inside.length > 0 ? [changed({ ...group, bags: inside }, event)] : [];
      return outside.length > 0 ? [...touched, { ...group, bags: outside }] : touched;
    });
  }
  return { groups: joinAlike(groups), problems };
}

function split(bags: readonly number[], wanted: ReadonlySet<number> | undefined): [number[], number[]] {
  if (wanted === undefined) return [[...bags], []];
  return [bags.filter((bag) => wanted.has(bag)), bags.filter((bag) => !wanted.has(bag))];
}

/** Groups can come together again: moved apart and back within one instant. */
function joinAlike(groups: readonly BagGroup[]): BagGroup[] {
  const alike = groupBy(groups, ({ bags: _, ...history }) => JSON.stringify(history));
  return [...alike.values()]
    .map((same) => ({ ...same[0]!, bags: same.flatMap((group) => group.bags).sort((a, b) => a - b) }))
    .sort((a, b) => a.bags[0]! - b.bags[0]!);
}
