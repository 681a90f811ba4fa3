import { createHash } from 'node:crypto';
import type { Farm } from '../../shared/farm/farm.ts';
import type { LimitBand, TimedLevels } from '../../shared/farm/limits-schema.ts';
import type { LimitChange, LimitEdit, LimitedBand } from '../../shared/tuning.ts';
import { defaultDeadband, defaultDelayS, defaultShelveCapMin } from '../definitions/counsel.ts';
import { placeAlarms } from '../definitions/definitions.ts';
import { hasLimits, type LimitedPlace, measuredPlaces } from '../definitions/limits.ts';
import { factsOf } from '../measures.ts';

/** What the farm file says of one quantity in one place; nothing at all is an empty band. */
export const bandIn = (farm: Farm, at: string, measure: LimitEdit['measure']): LimitBand =>
  (farm.rooms.get(at) ?? farm.shelves.get(at))?.limits[measure] ?? {};

/** Stands for what the farm file says of a band, so that a change by another shows. */
export const versionOf = (band: LimitBand): string =>
  createHash('sha256')
    .update(JSON.stringify(Object.entries(band).sort(([a], [b]) => (a < b ? -1 : 1))))
    .digest('hex')
    .slice(0, 16);

/** Every band of limits that holds on a farm, or may, in the order of its rooms and shelves. */
export const limitedBands = (farm: Farm): LimitedBand[] =>
  measuredPlaces(farm).flatMap((place) => [
    bandView(farm, place, false),
    ...(hasLimits(place) ? inheritors(place) : []).map((shelf) => bandView(farm, shelf, true)),
  ]);

/** Shelves that are measured and go by their room's limits: each may get its own. */
function inheritors(place: LimitedPlace): LimitedPlace[] {
  if (place.shelf !== null) return [];
  const shelves = new Set(place.sources.flatMap(({ shelf }) => shelf ?? []));
  return [...shelves].map((shelf) => ({
    ...place,
    ...{ key: `${shelf}.${place.measure}`, name: `Shelf ${shelf}`, shelf },
    sources: place.sources.filter((source) => source.shelf === shelf),
  }));
}

function bandView(farm: Farm, place: LimitedPlace, inherited: boolean): LimitedBand {
  const { measure, name, room, shelf, band, sources } = place;
  const at = shelf ?? room;
  const { route: _, predict: __, ...written } = bandIn(farm, at, measure);
  return {
    ...{ at, measure, name, room, shelf, inherited, written, limited: hasLimits(place) },
    unit: factsOf(measure).unit.trim(),
    channels: [...new Set(sources.flatMap(({ channel }) => channel ?? []))],
    holds: {
      lowLow: band.lowLow ?? null,
      low: band.low ?? null,
      high: band.high ?? null,
      highHigh: band.highHigh ?? null,
      risePerH: band.risePerH ?? null,
      fallPerH: band.fallPerH ?? null,
      deadband: band.deadband ?? defaultDeadband(measure, band),
      onDelayS: band.onDelayS ?? defaultDelayS,
      offDelayS: band.offDelayS ?? defaultDelayS,
      reAlarmMin: band.reAlarmMin ?? null,
      shelveCapMin: band.shelveCapMin ?? defaultShelveCapMin,
      during: band.during ?? [],
    },
    version: versionOf(bandIn(farm, at, measure)),
    alarms: (inherited ? [] : placeAlarms(farm, place)).map(
      ({ id, name: what, priority, advice, consequence, respondWithinMin, rule }) => ({
        ...{ id, name: what, priority, advice, consequence, respondWithinMin },
        latching: rule.latching,
      }),
    ),
  };
}

/** `tue, wed 13:00-17:00 high 33` */
const spanInWords = ({ days, from, to, ...levels }: TimedLevels): string => {
  const limits = Object.entries(levels).map(([level, value]) => `${level} ${value}`);
  return [days?.join(', ') ?? 'daily', `${from}-${to}`, ...limits].join(' ');
};

function inWords(value: LimitChange[keyof LimitChange]): string {
  if (value === undefined || value === null) return 'default';
  return Array.isArray(value) ? value.map(spanInWords).join('; ') : String(value);
}

/** A change in words, for the journal: `high 28 → 27, onDelayS default → 120`. */
export const changeInWords = (before: LimitBand, set: LimitChange): string =>
  (Object.keys(set) as (keyof LimitChange)[])
    .map((key) => ({ key, old: inWords(before[key]), next: inWords(set[key]) }))
    .filter(({ old, next }) => old !== next)
    .map(({ key, old, next }) => `${key} ${old} → ${next}`)
    .join(', ');
