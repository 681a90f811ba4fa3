import type { BagMark, CohortForecast } from './forecasts.ts';
import type { FarmView } from './live.ts';
import type { EpochMs } from './time.ts';

/** What a person can be asked to do with bags today; the order is the order of urgency on screens. */
export const todayTasks = ['shake', 'use', 'too-old', 'look'] as const;
export type TodayTask = (typeof todayTasks)[number];

/** Bags of one task on one shelf. */
export interface TodayPlace {
  /** Null while the bags are not placed. */
  shelf: string | null;
  room: string | null;
  bags: number;
  cohorts: string[];
  /** The first instant by which it should be done, epoch ms, where there is one. */
  by: EpochMs | null;
  /** Largest gain of a shake here, days. */
  gainDays: number | null;
  ranHot: boolean;
}

export interface TodayGroup {
  task: TodayTask;
  bags: number;
  /** In walking order: rooms, racks and shelves as the farm file lists them; bags not placed come last. */
  places: TodayPlace[];
}

export interface Today {
  /** Only tasks that have bags. */
  groups: TodayGroup[];
  /** Bags that are ready and not too old, pressing or not. */
  readyBags: number;
  /** The growing cohort whose likely ready date comes next. */
  next: { cohort: string; batch: string; shelf: string | null; bags: number; at: EpochMs } | null;
}

/**
 * What to do today, from the forecasts alone, so that counts and the marks drawn on the racks agree.
 * A bag too old is neither to be shaken nor used; a bag to look at may be in another group as well.
 */
export function today(
  farm: Pick<FarmView, 'rooms'>,
  forecasts: readonly CohortForecast[],
  now: EpochMs,
): Today {
  const walk = walkingOrder(farm);
  const ordered = forecasts
    .filter((forecast) => forecast.bags.length > 0)
    .sort((a, b) => walk.rank(a.shelf) - walk.rank(b.shelf) || (a.cohort < b.cohort ? -1 : 1));

  const groups = todayTasks.map((task) => groupOf(task, ordered, walk.roomOf));
  const ready = ordered.filter((forecast) => has(forecast, 'ready') && !has(forecast, 'too-old'));
  return {
    groups: groups.filter((group) => group.bags > 0),
    readyBags: countBags(ready),
    next: nextReady(ordered, now),
  };
}

const belongs: Record<TodayTask, (forecast: CohortForecast) => boolean> = {
  shake: (forecast) => has(forecast, 'shake') && !has(forecast, 'too-old'),
  use: (forecast) => has(forecast, 'ready') && !has(forecast, 'too-old') && forecast.useBy.state === 'soon',
  'too-old': (forecast) => has(forecast, 'too-old'),
  look: (forecast) => has(forecast, 'ran-hot') || has(forecast, 'look'),
};

const has = (forecast: CohortForecast, mark: BagMark): boolean => forecast.marks.includes(mark);

const countBags = (forecasts: readonly CohortForecast[]): number =>
  forecasts.reduce((sum, forecast) => sum + forecast.bags.length, 0);

function groupOf(
  task: TodayTask,
  ordered: readonly CohortForecast[],
  roomOf: (shelf: string | null) => string | null,
): TodayGroup {
  const places = new Map<string | null, TodayPlace>();
  for (const forecast of ordered.filter(belongs[task])) {
    const { shelf } = forecast;
    let place = places.get(shelf);
    if (place === undefined) {
      place = { shelf, room: roomOf(shelf), bags: 0, cohorts: [], by: null, gainDays: null, ranHot: false };
      places.set(shelf, place);
    }
    place.bags += forecast.bags.length;
    place.cohorts.push(forecast.cohort);
    place.by = lesser(place.by, dueBy(task, forecast));
    if (task === 'shake') place.gainDays = greater(place.gainDays, forecast.shake.gainDays);
    place.ranHot ||= has(forecast, 'ran-hot');
  }
  const list = [...places.values()];
  return { task, bags: list.reduce((sum, place) => sum + place.bags, 0), places: list };
}

function dueBy(task: TodayTask, forecast: CohortForecast): EpochMs | null {
  if (task === 'shake') return forecast.shake.closes?.likely ?? null;
  if (task === 'use') return forecast.useBy.at;
  return null;
}

const lesser = (a: number | null, b: number | null): number | null =>
  a === null ? b : b === null ? a : Math.min(a, b);
const greater = (a: number | null, b: number | null): number | null =>
  a === null ? b : b === null ? a : Math.max(a, b);

function nextReady(ordered: readonly CohortForecast[], now: EpochMs): Today['next'] {
  let next: Today['next'] = null;
  for (const forecast of ordered) {
    const at = forecast.ready.state === 'growing' ? forecast.ready.at?.likely : undefined;
    if (at === undefined || at < now || (next !== null && next.at <= at)) continue;
    const { cohort, batch, shelf } = forecast;
    next = { cohort, batch, shelf, bags: forecast.bags.length, at };
  }
  return next;
}

function walkingOrder(farm: Pick<FarmView, 'rooms'>) {
  const rooms = new Map<string, string>();
  const ranks = new Map<string, number>();
  for (const room of farm.rooms)
    for (const rack of room.racks)
      for (const shelf of rack.shelves) {
        rooms.set(shelf.id, room.id);
        ranks.set(shelf.id, ranks.size);
      }
  return {
    rank: (shelf: string | null) => (shelf === null ? undefined : ranks.get(shelf)) ?? ranks.size,
    roomOf: (shelf: string | null) => (shelf === null ? undefined : rooms.get(shelf)) ?? null,
  };
}
