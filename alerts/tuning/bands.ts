import { createHash } from 'node:crypto';
import type { Farm } from '../../shared/farm/farm.ts';
import type { LimitBand } from '../../shared/farm/limits-schema.ts';
import type { LimitChange, LimitEdit, LimitedBand } from '../../shared/tuning.ts';
import { defaultDeadband, defaultDelayS } from '../definitions/counsel.ts';
import { placeAlarms } from '../definitions/definitions.ts';
import { type LimitedPlace, limitedPlaces } from '../definitions/limits.ts';
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

/** Every band of limits that holds on a farm, in the order of its rooms and shelves. */
export const limitedBands = (farm: Farm): LimitedBand[] =>
  limitedPlaces(farm).flatMap((place) => [
    bandView(farm, place, false),
    ...inheritors(place).map((shelf) => bandView(farm, shelf, true)),
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
  const { during: _, route: __, predict: ___, ...written } = bandIn(farm, at, measure);
  return {
    ...{ at, measure, name, room, shelf, inherited, written },
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
    },
    timesOfDay: band.during?.length ?? 0,
    version: versionOf(bandIn(farm, at, measure)),
    alarms: (inherited ? [] : placeAlarms(farm, place)).map(
      ({ id, name: what, priority, advice, consequence, respondWithinMin, rule }) => ({
        ...{ id, name: what, priority, advice, consequence, respondWithinMin },
        latching: rule.latching,
      }),
    ),
  };
}

/** A change in words, for the journal: `high 28 → 27, onDelayS default → 120`. */
export function changeInWords(before: LimitBand, set: LimitChange): string {
  const word = (value: unknown) => (value === undefined || value === null ? 'default' : String(value));
  return Object.entries(set)
    .filter(([key, value]) => word(before[key as keyof LimitBand]) !== word(value))
    .map(([key, value]) => `${key} ${word(before[key as keyof LimitBand])} → ${word(value)}`)
    .join(', ');
}
