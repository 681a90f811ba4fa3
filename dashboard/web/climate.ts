import type { AlarmView } from '../../shared/alarms.ts';
import type { FarmView, LiveState } from '../../shared/live.ts';
import type { Quantity } from '../../shared/readings.ts';
import { meanOf } from '../../shared/stats/mean.ts';
import type { EpochMs } from '../../shared/time.ts';
import { isUsable } from '../../shared/usable.ts';

/** One value as a place has it: the mean of the channels that can be trusted there. */
export interface PlaceValue {
  quantity: Quantity;
  value: number;
  trendPerH: number | null;
  /** The newest reading that went into it. */
  t: EpochMs;
  /** `old`: every channel here is silent; `suspect`: none of them is good. */
  trust: 'good' | 'old' | 'suspect';
  channels: string[];
}

type Known = Pick<LiveState, 'channels'> & { farm: Pick<FarmView, 'channels'> };

/** The mean over `ids` of one quantity: good and fresh channels, or failing that old ones, or suspect ones. */
export function valueAt(known: Known, ids: readonly string[], quantity: Quantity): PlaceValue | null {
  const quantities = new Map(known.farm.channels.map((channel) => [channel.id, channel.quantity]));
  const found = ids
    .filter((id) => quantities.get(id) === quantity)
    .flatMap((id) => {
      const live = known.channels[id];
      return live === undefined ? [] : [{ id, live }];
    });
  const good = found.filter(({ live }) => isUsable(live.quality));
  const fresh = good.filter(({ live }) => !live.silent);
  const [taken, trust] =
    fresh.length > 0
      ? ([fresh, 'good'] as const)
      : good.length > 0
        ? ([good, 'old'] as const)
        : ([found, 'suspect'] as const);
  if (taken.length === 0) return null;
  const trends = taken.flatMap(({ live }) => (live.trendPerH === null ? [] : [live.trendPerH]));
  return {
    quantity,
    value: meanOf(taken.map(({ live }) => live.value)),
    trendPerH: trends.length > 0 ? meanOf(trends) : null,
    t: Math.max(...taken.map(({ live }) => live.t)),
    trust,
    channels: taken.map(({ id }) => id),
  };
}

type Room = FarmView['rooms'][number];

/** A room's own sensors speak for it; a room without any is the mean of its shelves. */
export function roomValue(known: Known, room: Room, quantity: Quantity): PlaceValue | null {
  return (
    valueAt(known, room.channels, quantity) ??
    valueAt(
      known,
      room.racks.flatMap((rack) => rack.shelves.flatMap((shelf) => shelf.channels)),
      quantity,
    )
  );
}

/** Age of the newest reading of the whole site, ms; null when there is none. */
export function newestReading(channels: LiveState['channels']): EpochMs | null {
  let newest: EpochMs | null = null;
  for (const id in channels) {
    const { t } = channels[id]!;
    if (newest === null || t > newest) newest = t;
  }
  return newest;
}

/** Shelves where something is wrong now and rings, also when the alarm is the whole room's and one shelf's sensor set it off. */
export function ringingShelves(
  alarms: readonly AlarmView[],
  channels: FarmView['channels'],
): ReadonlySet<string> {
  const shelfOf = new Map(channels.map(({ id, shelf }) => [id, shelf]));
  return new Set(
    alarms.flatMap(({ ringing, conditionHolds, shelf, channel }) => {
      const place = shelf ?? (channel === null ? null : (shelfOf.get(channel) ?? null));
      return ringing && conditionHolds && place !== null ? [place] : [];
    }),
  );
}

/** Alarms that a person should see now: annunciated or still shown; shelved and suppressed ones are only listed. */
export const shownAlarms = (alarms: readonly AlarmView[]): AlarmView[] =>
  alarms.filter(({ state }) => order[state] !== undefined).sort(byUrgency);

const order: Partial<Record<AlarmView['state'], number>> = {
  unacknowledged: 0,
  'latched-unacknowledged': 1,
  'returned-unacknowledged': 2,
  acknowledged: 3,
  'latched-acknowledged': 4,
};

/** Needing a person first, then priority, then the older one. */
export const byUrgency = (a: AlarmView, b: AlarmView): number =>
  Number(b.ringing) - Number(a.ringing) ||
  a.priority - b.priority ||
  (order[a.state] ?? 9) - (order[b.state] ?? 9) ||
  a.since - b.since;
