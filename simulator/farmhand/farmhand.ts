import type { BagEvent } from '../../shared/bags.ts';
import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import { resumeRandom } from '../random.ts';
import type { World } from '../world.ts';
import { type BookEntry, createBook } from './book.ts';
import { type Plan, planBatch } from './recipes.ts';

/** What the simulated people carry from day to day, as JSON. */
export interface FarmhandState {
  random: number[];
  events: BagEvent[];
  /** Batches made so far, by strain; their numbers come of it. */
  made: Record<string, number>;
  acts: number;
}

/** One thing to do; it is decided when its turn comes and may come to nothing. */
export type Act = (t: EpochMs) => BagEvent[];

export interface Farmhand {
  /** Learns of an event, one's own or another's. */
  notice(event: BagEvent): void;
  /** A whole round: look, shake, throw away, use, make. */
  round(): Act[];
  /** One look at a batch that has not been looked at for long; harms nothing. */
  glance(): Act[];
  save(): FarmhandState;
}

/** A farm of this size tends about this many batches at a time. */
const mostBatches = 42;
const names = ['Ida', 'Oskar', 'Runa'];
const coolSpecies = new Set(['shiitake', 'lions-mane', 'king-trumpet']);
const purposes = ['order of the week', 'poured on', 'to the growing hall', 'order, collected'];

/** People who keep a farm going by what they see and have written down, never by the hidden truth. */
export function createFarmhand(world: World, state: FarmhandState): Farmhand {
  const { farm } = world;
  const random = resumeRandom(state.random);
  const book = createBook(state.events);
  const made = { ...state.made };
  let acts = state.acts;
  const speciesOf = new Map(farm.strains.map(({ id, species }) => [id, species]));
  const shakeable = new Map(farm.containers.map((container) => [container.id, container.shakeable]));

  type Without = BagEvent extends infer E
    ? E extends BagEvent
      ? Omit<E, 'id' | 't' | 'who'>
      : never
    : never;
  const sign = (t: EpochMs, who: string, event: Without): BagEvent => {
    acts += 1;
    return { ...event, id: `fh-${event.batch}-${acts}`, t, who } as BagEvent;
  };

  /** `onlyLook`: whatever it shows is left for somebody else to do. */
  const look =
    (entry: BookEntry, onlyLook = false): Act =>
    (t) => {
      const batch = entry.id;
      if (entry.bags.size === 0) return [];
      const who = random.pick(names);
      const seen = world.look(batch, who, [...entry.bags.keys()]);
      const events = [sign(t, who, { batch, kind: 'checked', share: seen.share })];
      if (onlyLook) return events;
      const clean = seen.bags.length > seen.spoilt.length;
      if (seen.spoilt.length > 0 && random.chance(0.8))
        events.push(sign(t, who, { batch, kind: 'discarded', bags: seen.spoilt, reason: 'green patch' }));
      const due = seen.share >= 0.2 && seen.share <= 0.5 && shakeable.get(entry.container) === true;
      const spawnIn = entry.inoculation.way === 'grain-to-grain';
      if (clean && due && !entry.shaken && random.chance(spawnIn ? 0.3 : 0.8))
        events.push(sign(t, who, { batch, kind: 'shaken' }));
      return events;
    };

  const use =
    (entry: BookEntry, count: number): Act =>
    (t) => {
      const bags = [...entry.bags.keys()].slice(0, count);
      if (bags.length === 0) return [];
      const batch = entry.id;
      return [sign(t, random.pick(names), { batch, kind: 'used', bags, purpose: random.pick(purposes) })];
    };

  const throwAway =
    (entry: BookEntry): Act =>
    (t) =>
      entry.bags.size === 0
        ? []
        : [sign(t, 'Ida', { batch: entry.id, kind: 'discarded', reason: 'too old to pour' })];

  const carryToCool =
    (entry: BookEntry): Act =>
    (t) => {
      const [first] = shelvesWithRoom('cool', entry.bags.size);
      if (entry.bags.size === 0 || first === undefined || first.bags < entry.bags.size) return [];
      return [sign(t, 'Runa', { batch: entry.id, kind: 'moved', shelf: first.shelf })];
    };

  /** Shelves of a room that together take `count` bags, fullest part first; empty when they cannot. */
  const shelvesWithRoom = (room: string, count: number): { shelf: string; bags: number }[] => {
    const standing = book.onShelves();
    const free = farm.rooms
      .filter(({ id }) => id === room)
      .flatMap(({ racks }) => racks.flatMap(({ shelves }) => shelves))
      .map(({ id, places }) => ({
        shelf: id,
        bags: places - (standing.get(id) ?? 0),
        order: random.uniform(),
      }))
      .filter(({ bags }) => bags > 0)
      .sort((a, b) => Number(b.bags >= count) - Number(a.bags >= count) || a.order - b.order);
    const chosen: { shelf: string; bags: number }[] = [];
    let left = count;
    for (const { shelf, bags } of free) {
      if (left <= 0) break;
      chosen.push({ shelf, bags: Math.min(left, bags) });
      left -= bags;
    }
    return left > 0 ? [] : chosen;
  };

  const nameOf = (strain: string): string => {
    made[strain] = (made[strain] ?? 0) + 1;
    const [word, number] = strain.split('-') as [string, string];
    return `${word.slice(0, 2).toUpperCase()}${number}-${String(made[strain]).padStart(3, '0')}`;
  };

  const make: Act = (t) => {
    const plan: Plan = planBatch(book.standing(), random);
    const room = coolSpecies.has(speciesOf.get(plan.strain) ?? '') ? 'cool' : 'warm';
    const places = shelvesWithRoom(room, plan.count);
    if (places.length === 0) return [];
    const who = random.pick(names);
    const batch = nameOf(plan.strain);
    const { parent, ...making } = plan;
    const events: BagEvent[] = [];
    if (parent !== null) {
      const purpose = `spawn for ${batch}`;
      events.push(sign(t, who, { batch: parent.batch, kind: 'used', bags: [parent.bag], purpose }));
    }
    events.push(sign(t, who, { batch, kind: 'made', ...making, ...(parent === null ? {} : { parent }) }));
    let next = 1;
    for (const { shelf, bags } of places) {
      const which = Array.from({ length: bags }, (_, i) => next + i);
      events.push(sign(t, who, { batch, kind: 'placed', bags: which, shelf }));
      next += bags;
    }
    return events;
  };

  const forEntry = (entry: BookEntry): Act[] => {
    const now = world.now();
    const age = now - entry.madeAt;
    const sinceLook = now - (entry.lastCheckAt ?? entry.madeAt);
    if (entry.fullSeenAt !== null) {
      const full = now - entry.fullSeenAt;
      if (full > 12 * dayMs && random.chance(0.3)) return [throwAway(entry)];
      if (full > 0.7 * dayMs && random.chance(0.4)) return [use(entry, 1 + random.below(entry.bags.size))];
      if (full < 2 * dayMs && entry.generation === 'G1' && random.chance(0.08)) return [carryToCool(entry)];
      return [];
    }
    const eager = entry.lastShare > 0.7 ? 20 * hourMs : 44 * hourMs;
    return age > 2.5 * dayMs && sinceLook > eager && random.chance(0.6) ? [look(entry)] : [];
  };

  return {
    notice: book.write,
    round() {
      const tending = book.standing().flatMap(forEntry);
      const weekday = new Date(world.now()).getUTCDay();
      const wish = weekday === 0 ? 0 : 1 + random.below(3);
      const count = Math.min(wish, Math.max(0, mostBatches - book.standing().length));
      return [...tending, ...Array.from({ length: count }, () => make)];
    },
    glance() {
      const open = book.standing().filter(({ fullSeenAt }) => fullSeenAt === null);
      const longest = open.sort((a, b) => (a.lastCheckAt ?? a.madeAt) - (b.lastCheckAt ?? b.madeAt))[0];
      return longest === undefined || world.now() - longest.madeAt < 2 * dayMs ? [] : [look(longest, true)];
    },
    save: () => ({ random: random.state(), events: book.save(), made, acts }),
  };
}
