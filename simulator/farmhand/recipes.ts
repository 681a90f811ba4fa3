import type { EventOf } from '../../shared/bags.ts';
import type { Random } from '../random.ts';
import type { BookEntry } from './book.ts';

type Making = Pick<EventOf<'made'>, 'strain' | 'container' | 'count' | 'generation' | 'inoculation'>;

/** A batch to make, and the standing bag that its spawn comes from, if any. */
export interface Plan extends Making {
  parent: { batch: string; bag: number } | null;
}

/** How often each strain is asked for. */
const demand: readonly [strain: string, weight: number][] = [
  ['larch-2', 5],
  ['alder-5', 3],
  ['heath-1', 2],
  ['fen-3', 3],
  ['brook-4', 3],
  ['moss-1', 3],
  ['birch-7', 3],
];

const wanted = (random: Random): string => {
  const total = demand.reduce((sum, [, weight]) => sum + weight, 0);
  let at = random.uniform() * total;
  for (const [strain, weight] of demand) {
    at -= weight;
    if (at < 0) return strain;
  }
  return demand[0]![0];
};

function firstGrain(strain: string, random: Random): Plan {
  const jar = random.chance(0.3);
  const liquid = random.chance(0.4);
  return {
    strain,
    container: jar ? 'jar' : 'grain-bag',
    count: jar ? 3 + random.below(3) : 2 + random.below(2),
    generation: 'G1',
    inoculation: liquid
      ? { way: 'liquid-culture', volumeMl: jar ? 3 : 10 }
      : { way: 'agar-wedges', pieces: jar ? 5 : 10 + random.below(4) },
    parent: null,
  };
}

const isFull = (entry: BookEntry) => entry.fullSeenAt !== null;

/** Decides what to make next: out of full spawn of the wanted strain where there is some, else from a culture. */
export function planBatch(standing: readonly BookEntry[], random: Random): Plan {
  const strain = wanted(random);
  const full = standing.filter((entry) => entry.strain === strain && isFull(entry));
  const from = (entry: BookEntry) => ({ batch: entry.id, bag: [...entry.bags.keys()][0]! });
  const second = full.find(({ generation }) => generation === 'G2');
  if (second !== undefined && random.chance(0.5))
    return {
      strain,
      container: 'sawdust-block',
      count: 4 + random.below(2),
      generation: 'block',
      inoculation: { way: 'grain-to-grain', partsPerSpawn: 12 },
      parent: from(second),
    };
  const first = full.find(({ generation }) => generation === 'G1');
  if (first !== undefined)
    return {
      strain,
      container: 'grain-bag',
      count: 3 + random.below(3),
      generation: 'G2',
      inoculation: { way: 'grain-to-grain', partsPerSpawn: random.pick([10, 10, 10, 20]) },
      parent: from(first),
    };
  return firstGrain(strain, random);
}
