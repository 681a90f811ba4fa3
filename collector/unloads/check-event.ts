import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { askedOf, deriveUnload, type UnloadState } from '../../shared/unload/derive.ts';
import { type HotLoad, type UnloadEvent, unloadEvent } from '../../shared/unloads.ts';
import { checkProbe, probeIn } from './probes.ts';

/** Clocks of phones and of this machine may differ by this much. */
const aheadMs = 2 * minuteMs;
/** A load that came in longer ago is history: nothing is left to watch. */
const backdatedMs = 48 * hourMs;
/** Loads that come into a room within so long are one: two people declared the same, or carts came one after another. */
const apartMs = 30 * minuteMs;
/** The furthest that an unload may be scheduled. */
const scheduledMs = 14 * 24 * hourMs;

/** As people say it of an unload. */
const stageWords = {
  scheduled: 'scheduled',
  underway: 'underway',
  ended: 'over',
  withdrawn: 'taken back',
} satisfies Record<UnloadState['stage'], string>;

export interface Known {
  farm: Farm;
  now: EpochMs;
  /** Events of this unload so far, in the order recorded. */
  events: readonly UnloadEvent[];
  /** Unloads that are underway. */
  underway: readonly UnloadState[];
}

/** An instant by the site's wall clock, as people say it: `Sun 29 Nov 14:05`. */
const moment = ({ file }: Farm, t: EpochMs): string =>
  new Intl.DateTimeFormat('en-GB', {
    ...{ timeZone: file.site.timeZone, hourCycle: 'h23', weekday: 'short', day: 'numeric', month: 'short' },
    ...{ hour: '2-digit', minute: '2-digit' },
  })
    .format(t)
    .replaceAll(',', '');

/**
 * The event in its stored form.
 *
 * @throws AppError `bad-request` that lists every field that is wrong.
 */
export function parseUnloadEvent(given: unknown): UnloadEvent {
  const parsed = unloadEvent.safeParse(given);
  if (parsed.success) return parsed.data;
  const problems = parsed.error.issues.map((issue) => `${issue.path.join('.') || 'event'}: ${issue.message}`);
  throw new AppError('bad-request', `The event is not well formed: ${problems.join('; ')}.`, {
    details: { problems },
  });
}

/**
 * @throws AppError 'not-found' for a room or a container that the farm file does not have, 'out-of-range' for a
 * load that is cool already.
 */
export function checkLoad(farm: Farm, room: string, { container, startC }: HotLoad): void {
  if (!farm.rooms.has(room))
    throw new AppError(
      'not-found',
      `There is no room '${room}' in the farm file. Known: ${[...farm.rooms.keys()].join(', ')}.`,
    );
  if (!farm.containers.has(container))
    throw new AppError(
      'not-found',
      `There is no container '${container}' in the farm file. Known: ${[...farm.containers.keys()].join(', ') || 'none is defined'}.`,
    );
  const { inoculateBelowC } = farm.file.unloads;
  if (startC !== null && startC < inoculateBelowC)
    throw new AppError(
      'out-of-range',
      `A load of ${startC} °C is cool enough to inoculate already (below ${inoculateBelowC} °C). Give its core as it leaves the sterilizer.`,
    );
}

function checkBegun(event: Extract<UnloadEvent, { kind: 'begun' }>, { farm, now, underway }: Known): void {
  if (event.t < now - backdatedMs)
    throw new AppError(
      'out-of-range',
      `That load came in ${moment(farm, event.t)}, more than two days ago; nothing is left of it to watch. Correct the time if it is wrong.`,
    );
  const same = underway.find(({ room, at }) => room === event.room && Math.abs(event.t - at) < apartMs);
  if (same !== undefined)
    throw new AppError(
      'conflict',
      `${same.who} declared an unload of ${same.load.count} in ${farm.rooms.get(event.room)?.name ?? event.room} since ${moment(farm, same.at)}. If it is this one, nothing is left to do; if more came in with it, take that one back and declare them together.`,
      { details: { unload: same.id } },
    );
  if (event.probe != null) checkFree(event.probe, event.unload, { farm, underway });
}

/** A probe stands in one load at a time. */
function checkFree(
  channel: string,
  unload: string,
  { farm, underway }: Pick<Known, 'farm' | 'underway'>,
): void {
  const other = underway.find((one) => one.id !== unload && probeIn(one) === channel);
  if (other === undefined) return;
  const sensor = farm.channels.get(channel)?.sensor;
  throw new AppError(
    'conflict',
    `The probe ${sensor?.name ?? sensor?.id ?? channel} stands in the load of ${moment(farm, other.at)}. Say there first that it was taken out, or choose another or none.`,
    { details: { unload: other.id } },
  );
}

/**
 * Checks a well-formed event against the farm and against what is recorded.
 *
 * @throws AppError `not-found`, `out-of-range` or `conflict` with what, where and how to mend it.
 */
export function checkUnloadEvent(event: UnloadEvent, known: Known): void {
  const { farm, now, events } = known;
  if (event.t > now + aheadMs)
    throw new AppError(
      'out-of-range',
      `The time of this event, ${moment(farm, event.t)}, lies ahead (now ${moment(farm, now)}). Correct it, or the clock.`,
    );
  const state = deriveUnload(events);
  switch (event.kind) {
    case 'asked':
      if (events.length > 0)
        throw new AppError('conflict', 'That was asked already; answer it, or declare the load.');
      return;
    case 'denied':
      if (!events.some(({ kind }) => kind === 'asked'))
        throw new AppError(
          'not-found',
          `There is no question '${event.unload}' about an unload. Answer one that is open, or take back an unload that was declared.`,
        );
      if (askedOf(events) === undefined)
        throw new AppError('conflict', 'That question was answered already; nothing is left to do.');
      return;
    case 'scheduled':
      checkLoad(farm, event.room, event.load);
      if (state !== undefined && state.stage !== 'scheduled')
        throw new AppError(
          'conflict',
          `That unload is ${stageWords[state.stage]} already and cannot be scheduled anew; schedule another.`,
        );
      if (event.at < now - aheadMs || event.at > now + scheduledMs)
        throw new AppError(
          'out-of-range',
          `An unload is scheduled from now up to 14 days ahead, not for ${moment(farm, event.at)}.`,
        );
      return;
    case 'begun':
      checkLoad(farm, event.room, event.load);
      if (event.probe != null) checkProbe(farm, event.room, event.probe);
      if (state !== undefined && state.stage !== 'scheduled')
        throw new AppError(
          'conflict',
          `That unload is ${stageWords[state.stage]} already; declare another.`,
          {
            details: { unload: event.unload },
          },
        );
      if (events.some(({ kind }) => kind === 'denied'))
        throw new AppError('conflict', 'It was answered that this was no unload; declare a new one instead.');
      checkBegun(event, known);
      return;
    case 'probed':
      checkChange(event, state, known);
      if (event.channel === null) return;
      checkProbe(farm, state!.room, event.channel);
      checkFree(event.channel, event.unload, known);
      return;
    default:
      checkChange(event, state, known);
  }
}

function checkChange(
  event: Extract<UnloadEvent, { kind: 'measured' | 'ended' | 'withdrawn' | 'probed' }>,
  state: UnloadState | undefined,
  { farm, events }: Known,
): void {
  if (state === undefined)
    throw new AppError('not-found', `There is no unload '${event.unload}'. Declare it first.`);
  if (state.stage === 'ended' || state.stage === 'withdrawn')
    throw new AppError(
      'conflict',
      `That unload is ${stageWords[state.stage]} since ${moment(farm, state.endedAt!)}; declare the load that stands there now.`,
    );
  if (event.kind !== 'withdrawn' && state.stage === 'scheduled')
    throw new AppError('conflict', 'That unload has not begun; say first that the load is in the room.');
  if (state.stage === 'underway') {
    if (event.t >= state.at) return;
    throw new AppError(
      'out-of-range',
      `That was ${moment(farm, event.t)}, before the load came in (${moment(farm, state.at)}). Correct the time.`,
    );
  }
  // What was said by one phone may be taken back at once by another.
  const saidAt = Math.min(...events.map(({ t }) => t));
  if (event.t < saidAt - aheadMs)
    throw new AppError(
      'out-of-range',
      `That was ${moment(farm, event.t)}, before the unload was scheduled (${moment(farm, saidAt)}). Correct the time.`,
    );
}
