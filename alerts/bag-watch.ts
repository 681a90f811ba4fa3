import { writeBags } from '../shared/batches/bag-list.ts';
import type { Farm } from '../shared/farm/farm.ts';
import type { CohortForecast } from '../shared/forecasts.ts';
import { groupBy } from '../shared/group-by.ts';
import { heatAllowanceHours } from '../shared/growth/dose.ts';
import { type EpochMs, hourMs } from '../shared/time.ts';
import { spokenSpan } from './measures.ts';

/** A forecast that is older says nothing of now: its thread is away, and has an alarm of its own. */
const outdatedMs = 2 * hourMs;
/** Cohorts that a title names; the alarm's page has them all. */
const mostNamed = 3;

/** Name of the signal of a shelf's warmest or coldest core [°C]. */
export const coreSignal = (shelf: string, side: 'above' | 'below'): string =>
  `core>${side === 'above' ? 'warmest' : 'coldest'} on ${shelf}`;
/** Name of the signal of the most exposed bags of a room that still gather heat [% of the allowance]. */
export const heatSignal = (room: string): string => `heat>${room}`;

const bagsOf = ({ batch, bags }: CohortForecast): string =>
  `${batch}, ${bags.length === 1 ? 'bag' : 'bags'} ${writeBags(bags)}`;

const shareOf = ({ heat }: CohortForecast): number => (100 * heat.recentHours) / heatAllowanceHours;

function heatWords(gathering: readonly CohortForecast[]): string {
  const [worst] = gathering;
  if (worst === undefined) return '';
  const left = heatAllowanceHours - worst.heat.recentHours;
  const rest = left > 0 ? `, the rest in about ${spokenSpan((left / worst.heat.perHour) * hourMs)}` : '';
  const named = gathering.slice(0, mostNamed).map((one) => `${bagsOf(one)} on ${one.shelf}`);
  const more = gathering.length - named.length;
  const all = `${named.join('; ')}${more > 0 ? `; and ${more} more` : ''}`;
  return `${all}: ${Math.round(shareOf(worst))} % of what they stand${rest}`;
}

/** Says to the alarms how warm cores are and what heat they gather, from the forecasts of all bags. */
export function createBagWatch(
  say: (signal: string, t: EpochMs, value: number, detail: string | null) => void,
) {
  let farm: Farm | undefined;

  return {
    setFarm(next: Farm): void {
      farm = next;
    },
    /** All bags as they are forecast now. Of bags whose air nobody knows nothing is said. */
    note(forecasts: Iterable<CohortForecast>, now: EpochMs): void {
      if (farm === undefined) return;
      const byShelf = groupBy([...forecasts], ({ shelf }) => shelf ?? '');
      const byRoom = new Map<string, CohortForecast[]>([...farm.rooms.keys()].map((room) => [room, []]));
      for (const { id, room } of farm.shelves.values()) {
        const all = byShelf.get(id) ?? [];
        const known = all.filter(({ air, asOf }) => air !== 'filled' && now - asOf <= outdatedMs);
        byRoom.get(room)?.push(...known);
        if (known.length === 0 && all.length > 0) continue;
        known.sort((a, b) => a.coreTempC - b.coreTempC);
        const [coldest, warmest] = [known[0], known.at(-1)];
        // A shelf without bags is within every limit.
        const above = warmest?.coreTempC ?? Number.NEGATIVE_INFINITY;
        const below = coldest?.coreTempC ?? Number.POSITIVE_INFINITY;
        say(coreSignal(id, 'above'), now, above, warmest ? bagsOf(warmest) : null);
        say(coreSignal(id, 'below'), now, below, coldest ? bagsOf(coldest) : null);
      }
      for (const [room, bags] of byRoom) {
        const gathering = bags.filter(({ heat }) => heat.perHour > 0);
        gathering.sort((a, b) => b.heat.recentHours - a.heat.recentHours);
        const [worst] = gathering;
        say(heatSignal(room), now, worst ? shareOf(worst) : 0, heatWords(gathering));
      }
    },
  };
}
