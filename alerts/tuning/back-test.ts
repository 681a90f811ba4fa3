import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { RecordedReadings } from '../../shared/ports.ts';
import { dayMs, type EpochMs, minuteMs } from '../../shared/time.ts';
import type { AlarmEpisode, BackTest, BackTestRun, LimitEdit } from '../../shared/tuning.ts';
import type { HeldSpan } from '../../shared/unload/watched.ts';
import { isCore } from '../core-log.ts';
import type { SignalDefinition } from '../definitions/definition.ts';
import { placeAlarms } from '../definitions/definitions.ts';
import { type LimitedPlace, limitedPlaces } from '../definitions/limits.ts';
import { factsOf } from '../measures.ts';
import { pairEpisodes } from './compare.ts';
import { episodesOf } from './episodes.ts';
import { type Beyond, beyondIn, unseenOf } from './exposure.ts';
import { feed } from './feed.ts';
import { countByPeriod, floodsIn } from './floods.ts';
import { createReplay, type ReplayLine } from './replay.ts';
import { lengthOf, type TimeSpan, union } from './spans.ts';

/** Readings before the span that bring alarms and trends to where they stood. */
const warmUpMs = dayMs;
/** Over by itself sooner than this, nobody could have acted. */
const fleetingMs = minuteMs;

export interface BackTestInput {
  now: Farm;
  changed: Farm;
  /** Room or shelf whose limits change. */
  at: string;
  measure: LimitEdit['measure'];
  from: EpochMs;
  to: EpochMs;
  recorded: RecordedReadings;
  /** Times in which unloads held alarms back. */
  held: readonly HeldSpan[];
  /** Lets others have their turn; a month must not hold up an alarm. */
  pause: () => Promise<void>;
}

interface Scope {
  farm: Farm;
  places: LimitedPlace[];
  definitions: SignalDefinition[];
}

/**
 * Replays recorded readings through the limits as they are and as they would be: all limits of the quantity in
 * that room, since a shelf with limits of its own leaves those of its room. Both runs take the code that the
 * live alarms take.
 * @throws AppError 'not-found' when nothing there measures it, or nothing was recorded in the span.
 */
export async function backTest(input: BackTestInput): Promise<BackTest> {
  const { recorded, pause, measure } = input;
  const room = input.now.shelves.get(input.at)?.room ?? input.at;
  const scopes = [input.now, input.changed].map((farm) => scopeOf(farm, room, measure));
  const [now, changed] = scopes as [Scope, Scope];
  const channels = [...new Set(scopes.flatMap(channelsOf))];
  if (channels.length === 0)
    throw new AppError(
      'not-found',
      `Nothing in ${room} measures ${measure}, so there is no past to try it on.`,
    );
  const kept = channels.flatMap((channel) => recorded.keptFrom(channel) ?? []);
  const [from, to] = [Math.max(input.from, Math.min(...kept)), input.to];
  if (kept.length === 0 || from >= to)
    throw new AppError(
      'not-found',
      measure === 'core' && kept.length === 0
        ? 'No cores of these shelves are on record yet: they are kept from the first forecast on, for 90 days.'
        : 'No readings are kept of that span; choose a later one.',
    );

  let readings = 0;
  const linesOf = async ({ farm, definitions }: Scope) => {
    const replay = createReplay(farm, definitions, from - warmUpMs, input.held);
    readings += await feed({ replay, recorded, channels, from: from - warmUpMs, to, pause });
    return replay.finish(to);
  };
  const exposures = await exposuresOf(now, { recorded, from, to, pause });
  const span: TimeSpan = [from, to];
  const runs = [];
  for (const scope of scopes) runs.push(runOf(scope, await linesOf(scope), span, exposures));
  const [before, after] = runs as [BackTestRun, BackTestRun];
  return {
    ...{ from, to, readings, unit: factsOf(measure).unit.trim() },
    channel:
      drawnOf(worstOf(exposures)) ??
      now.places[0]?.sources[0]?.channel ??
      changed.places[0]?.sources[0]?.channel ??
      null,
    now: before,
    changed: after,
    pairs: pairEpisodes(before.episodes, after.episodes),
  };
}

/** Cores have no curve of their own to draw. */
const drawnOf = (channel: string | null): string | null =>
  channel === null || isCore(channel) ? null : channel;

function scopeOf(farm: Farm, room: string, measure: string): Scope {
  const places = limitedPlaces(farm).filter((place) => place.room === room && place.measure === measure);
  return { farm, places, definitions: places.flatMap((place) => placeAlarms(farm, place)) };
}

/** Whether the past of a signal is kept: what a sensor measured, and computed cores. */
const isKept = (farm: Farm, signal: string): boolean => farm.channels.has(signal) || isCore(signal);

/** Channels that the alarms rest on, directly or through what is computed from them. */
const channelsOf = ({ farm, definitions }: Scope): string[] =>
  definitions.flatMap(({ watched, plans }) =>
    [...watched.keys(), ...plans.flatMap(({ sources }) => sources)].filter((id) => isKept(farm, id)),
  );

interface Exposure {
  channel: string;
  /** `above` or `below`: which alarms tell of it. */
  side: 'above' | 'below';
  beyond: Beyond[];
}

/** Exposure of each channel beyond the innermost of today's limits, on either side. */
async function exposuresOf(
  { farm, places, definitions }: Scope,
  { recorded, from, to, pause }: Pick<BackTestInput, 'recorded' | 'from' | 'to' | 'pause'>,
) {
  const found: Exposure[] = [];
  for (const { key } of places)
    for (const side of ['above', 'below'] as const) {
      const [inner, outer] = side === 'above' ? ['high', 'high-high'] : ['low', 'low-low'];
      const limit =
        definitions.find(({ id }) => id === `${inner}/${key}`) ??
        definitions.find(({ id }) => id === `${outer}/${key}`);
      for (const channel of limit?.watched.keys() ?? []) {
        if (limit === undefined || !isKept(farm, channel)) continue;
        found.push({ channel, side, beyond: beyondIn(recorded, channel, limit.ruleAt, from, to) });
        await pause();
      }
    }
  return found;
}

function worstOf(exposures: readonly Exposure[]): string | null {
  let worst: Exposure | null = null;
  let most = 0;
  for (const exposure of exposures) {
    const sum = unseenOf(exposure.beyond, []);
    if (sum > most) [worst, most] = [exposure, sum];
  }
  return worst?.channel ?? null;
}

function runOf(
  { definitions }: Scope,
  lines: readonly ReplayLine[],
  [from, to]: TimeSpan,
  exposures: readonly Exposure[],
): BackTestRun {
  const known = new Map(definitions.map((definition) => [definition.id, definition]));
  const priorityOf = (alarm: string) => known.get(alarm)!.priority;
  const episodes = episodesOf(lines, priorityOf).filter(
    ({ raisedAt, clearedAt }) => raisedAt < to && (clearedAt ?? to) >= from,
  );
  const spanOf = ({ raisedAt, clearedAt }: AlarmEpisode): TimeSpan => [raisedAt, clearedAt ?? to];
  const heldOn = (side: 'above' | 'below', channel: string) =>
    union(
      episodes
        .filter(({ alarm }) => known.get(alarm)!.base.side === side && known.get(alarm)!.watched.has(channel))
        .map(spanOf),
    );
  const rings = episodes.filter(({ suppressed, raisedAt }) => !suppressed && raisedAt >= from);
  return {
    episodes,
    perWeek: (rings.length * 7 * dayMs) / (to - from),
    fleeting: rings.filter(
      ({ raisedAt, clearedAt }) => clearedAt !== null && clearedAt - raisedAt < fleetingMs,
    ).length,
    chattering: lines.filter(({ event, t }) => event === 'chattering' && t >= from).length,
    floods: floodsIn(countByPeriod(rings.map(({ raisedAt }) => raisedAt))).length,
    heldMs: lengthOf(union(episodes.map(spanOf).map(([start, end]) => [Math.max(start, from), end]))),
    unseen: Math.max(
      0,
      ...exposures.map(({ channel, side, beyond }) => unseenOf(beyond, heldOn(side, channel))),
    ),
  };
}
