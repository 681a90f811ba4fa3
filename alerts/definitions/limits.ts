import type { Priority } from '../../shared/alarms.ts';
import { type Channel, type Farm, isInLoads } from '../../shared/farm/farm.ts';
import type { LimitBand, Limits } from '../../shared/farm/limits-schema.ts';
import { secondMs } from '../../shared/time.ts';
import { coreSignal } from '../bag-watch.ts';
import { dewPointPlan, vpdPlan } from '../conditions/air.ts';
import type { LimitRule } from '../conditions/limit.ts';
import type { SignalPlan } from '../conditions/signal.ts';
import { createLocalTime, inSpan } from '../conditions/timetable.ts';
import { factsOf, type Measure, type Side, spoken } from '../measures.ts';
import { assumedTemperature, defaultDeadband, defaultDelayS, limitCounsel } from './counsel.ts';
import { type Evidence, ruleOf, type SignalDefinition, type Watched } from './definition.ts';

const sides = [
  { side: 'high-high', level: 'highHigh', beyond: 'above' },
  { side: 'high', level: 'high', beyond: 'above' },
  { side: 'low', level: 'low', beyond: 'below' },
  { side: 'low-low', level: 'lowLow', beyond: 'below' },
] as const;

/** Something that measures: a channel, or what is computed from some. */
export interface Source {
  signal: string;
  measure: Exclude<Measure, 'battery'>;
  room: string;
  shelf: string | null;
  /** Channel whose curve shows it; null where no sensor measures it. */
  channel: string | null;
  /** It says only how far its values go to this side. */
  side?: 'above' | 'below';
  plan: SignalPlan | null;
}

/** A quantity of a place with the limits that hold there and all that measures it. */
export interface LimitedPlace {
  /** `<room or shelf>.<measure>`. */
  key: string;
  measure: Source['measure'];
  /** In words: `Warm room`, `Shelf A3`. */
  name: string;
  room: string;
  /** The shelf when it has limits of its own. */
  shelf: string | null;
  band: LimitBand;
  sources: Source[];
}

/**
 * Where limits hold. **One cause, one alarm**: a limit watches its quantity over the whole room, on room
 * and shelf channels alike, and its alarm is named after the worst. Only a shelf with limits of its own
 * leaves its room's alarm and gets one; what it does not say, its room says.
 */
export const limitedPlaces = (farm: Farm): LimitedPlace[] => measuredPlaces(farm).filter(hasLimits);

/** Whether any alarm comes of a band: a level at some time of day, or a rate. */
export const hasLimits = ({ band }: Pick<LimitedPlace, 'band'>): boolean =>
  sides.some(({ level }) => levelsOf(band, level).length > 0) ||
  band.risePerH !== undefined ||
  band.fallPerH !== undefined;

/** Every quantity that is measured in a room, with the limits that hold there, if any. The weather has none. */
export function measuredPlaces(farm: Farm): LimitedPlace[] {
  const places = new Map<string, LimitedPlace>();
  for (const source of sourcesOf(farm)) {
    const { measure, room, shelf } = source;
    if (!farm.rooms.has(room)) continue;
    const own = shelf === null ? undefined : farm.shelves.get(shelf)?.limits[measure];
    const key = `${own ? shelf : room}.${measure}`;
    const known = places.get(key);
    const band = bandOf(roomBand(farm, room, measure), own);
    if (known) known.sources.push(source);
    else
      places.set(key, {
        ...{ key, measure, room, band, sources: [source] },
        name: own ? `Shelf ${shelf}` : (farm.rooms.get(room)?.name ?? room),
        shelf: own ? shelf : null,
      });
  }
  return [...places.values()];
}

/** What a shelf says holds at all times of day, whatever its room is allowed at some. */
function bandOf(room: LimitBand | undefined, own: LimitBand | undefined): LimitBand {
  const during =
    own?.during ??
    room?.during?.map((span) => {
      const kept = { ...span };
      for (const { level } of sides) if (own?.[level] !== undefined) delete kept[level];
      return kept;
    });
  return { ...room, ...own, ...(during && { during }) };
}

const roomBand = (farm: Farm, room: string, measure: keyof Limits): LimitBand | undefined =>
  farm.rooms.get(room)?.limits[measure] ?? (measure === 'temperature' ? assumedTemperature : undefined);

const levelsOf = (band: LimitBand, level: (typeof sides)[number]['level']): number[] =>
  [band, ...(band.during ?? [])].flatMap((levels) => levels[level] ?? []);

function* sourcesOf(farm: Farm): Generator<Source> {
  const air = new Map<string, { temperature?: Channel; humidity?: Channel }>();
  for (const channel of farm.channels.values()) {
    const { id, quantity, room, shelf, sensor } = channel;
    if (quantity === 'battery' || quantity === 'cooler-on' || isInLoads(channel)) continue;
    yield { signal: id, measure: quantity, room, shelf, channel: id, plan: null };
    if (quantity !== 'temperature' && quantity !== 'humidity') continue;
    const pair = air.get(sensor.id) ?? {};
    air.set(sensor.id, { ...pair, [quantity]: channel });
  }
  for (const [sensor, { temperature, humidity }] of air) {
    if (!temperature || !humidity) continue;
    const everyMs = temperature.sensor.everyS * secondMs;
    const pair = { sensor, temperature: temperature.id, humidity: humidity.id, everyMs };
    const { room, shelf } = temperature;
    for (const [measure, plan] of [
      ['dew-point', dewPointPlan(pair)],
      ['vpd', vpdPlan(pair)],
    ] as const)
      yield { signal: plan.out, measure, room, shelf, channel: humidity.id, plan };
  }
  for (const { id: shelf, room } of farm.shelves.values())
    for (const side of ['above', 'below'] as const)
      yield {
        signal: coreSignal(shelf, side),
        measure: 'core',
        room,
        shelf,
        side,
        channel: null,
        plan: null,
      };
}

/** The limit alarms of a place: low-low, low, high and high-high, as far as it has them. */
export function limitAlarms(farm: Farm, place: LimitedPlace): SignalDefinition[] {
  const { key, measure, band, name, room, shelf } = place;
  // Made only where it is asked for: a formatter of its own costs most of a definition.
  const localTime = band.during && createLocalTime(farm.file.site.timeZone);
  return sides.flatMap(({ side, level, beyond }) => {
    if (levelsOf(band, level).length === 0) return [];
    const counsel = limitCounsel(measure, side);
    const priority = band.priority === undefined ? counsel.priority : urgency(band.priority, side);
    const ruleFor = (limit: number | undefined): LimitRule => ({
      side: beyond,
      // A level that only holds at certain times is out of reach at all others.
      limit: limit ?? (beyond === 'above' ? Infinity : -Infinity),
      deadband: band.deadband ?? defaultDeadband(measure, band),
      onDelayMs: (band.onDelayS ?? defaultDelayS) * secondMs,
      offDelayMs: (band.offDelayS ?? defaultDelayS) * secondMs,
    });
    const base = ruleFor(band[level]);
    const times = (band.during ?? []).map((span) => ({ span, rule: ruleFor(span[level] ?? band[level]) }));
    return {
      kind: 'signal',
      id: `${side}/${key}`,
      name: limitName(name, measure, side, base.limit),
      ...{ room, shelf, priority, base, unit: factsOf(measure).unit },
      consequence: band.consequence ?? counsel.consequence,
      advice: band.advice ?? counsel.advice,
      respondWithinMin: band.respondWithinMin ?? counsel.respondWithinMin,
      rule: ruleOf(priority, band),
      route: band.route ?? null,
      causes: [],
      ruleAt:
        localTime === undefined
          ? () => base
          : (t) => times.find(({ span }) => inSpan(span, localTime(t)))?.rule ?? base,
      rules: [base, ...times.map(({ rule }) => rule)],
      watched: watchedOf(place, beyond),
      plans: place.sources.flatMap(({ plan }) => plan ?? []),
      ...(measure === 'core' && { shownBy: measure }),
      raised: (evidence) => limitTitle(name, measure, side, evidence),
      over: (evidence) => backInLimitsTitle(name, measure, evidence),
    };
  });
}

/** Signals of a place that may pass a limit on a side, each naming its shelf unless the place is that shelf. */
export const watchedOf = (
  { sources, shelf }: LimitedPlace,
  beyond: 'above' | 'below',
): Map<string, Watched> =>
  new Map(
    sources
      .filter(({ side = beyond }) => side === beyond)
      .map((source) => [
        source.signal,
        {
          channel: source.channel,
          at: shelf === null && source.shelf !== null ? `shelf ${source.shelf}` : null,
        },
      ]),
  );

/** A band's priority is that of its plain limits; the outer ones are one step more urgent. */
const urgency = (written: Priority, side: Side): Priority =>
  side === 'high' || side === 'low' || written === 1 ? written : written === 3 ? 2 : 1;

const limitName = (place: string, measure: Measure, side: Side, limit: number) => {
  const { words, unit } = factsOf(measure);
  return Number.isFinite(limit)
    ? `${place} ${words[side]}: limit ${limit}${unit}`
    : `${place} ${words[side]}`;
};

/** `Warm room too warm: 29.6 °C, limit 28`; where a shelf is worst, `Warm room, shelf A3 too warm: ...`. */
const limitTitle = (place: string, measure: Measure, side: Side, { at, value, limit, detail }: Evidence) => {
  const where = at === null ? place : `${place}, ${at}`;
  const whose = detail === null ? '' : ` (${detail})`;
  return `${where} ${factsOf(measure).words[side]}: ${spoken(measure, value)}, limit ${limit}${whose}`;
};

/** `Warm room back in limits: 27.4 °C, limit 28, reached 29.6`. */
const backInLimitsTitle = (place: string, measure: Measure, { value, limit, peak }: Evidence) => {
  const reached = peak === null ? '' : `, reached ${peak.toFixed(factsOf(measure).digits)}`;
  if (!Number.isFinite(value)) return `${place}: the bags have left${reached}`;
  return `${place} back in limits: ${spoken(measure, value)}, limit ${limit}${reached}`;
};
