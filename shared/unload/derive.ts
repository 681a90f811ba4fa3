import type { EpochMs } from '../time.ts';
import type { HotLoad, UnloadEvent, UnloadEventOf, UnloadOptions, UnloadStage } from '../unloads.ts';

/** An unload as its events leave it; one that was only asked about has no load yet. */
export interface UnloadState {
  id: string;
  room: string;
  stage: UnloadStage;
  /** It took place, whatever became of it: it was not only scheduled. */
  hasBegun: boolean;
  /** When it begins or began. */
  at: EpochMs;
  endedAt: EpochMs | null;
  who: string;
  load: HotLoad;
  options: UnloadOptions;
  /** Oldest first. */
  measured: UnloadEventOf<'measured'>[];
}

/** A question whether there was an unload, until it is answered. */
export interface UnloadAsked {
  id: string;
  room: string;
  at: EpochMs;
  askedAt: EpochMs;
  why: string;
}

/** Events of one unload by time; those of one instant as they were recorded. */
const inOrder = (events: readonly UnloadEvent[]): UnloadEvent[] => [...events].sort((a, b) => a.t - b.t);

/**
 * The state of one unload, from its events in any order. Pure.
 *
 * @returns undefined while nobody scheduled or began it.
 */
export function deriveUnload(events: readonly UnloadEvent[]): UnloadState | undefined {
  const ordered = inOrder(events);
  const begun = ordered.find((event) => event.kind === 'begun');
  const first = begun ?? ordered.findLast((event) => event.kind === 'scheduled');
  if (first === undefined) return undefined;
  const withdrawn = ordered.find((event) => event.kind === 'withdrawn');
  const ended = ordered.find((event) => event.kind === 'ended');
  const stage: UnloadStage = withdrawn ? 'withdrawn' : ended ? 'ended' : begun ? 'underway' : 'scheduled';
  return {
    id: first.unload,
    room: first.room,
    stage,
    hasBegun: begun !== undefined,
    at: first.kind === 'begun' ? first.t : first.at,
    endedAt: (withdrawn ?? ended)?.t ?? null,
    who: first.who,
    load: first.load,
    options: first.options,
    measured: ordered.filter((event) => event.kind === 'measured'),
  };
}

/** The question that is open among the events of one unload, or undefined when it was answered or never asked. */
export function askedOf(events: readonly UnloadEvent[]): UnloadAsked | undefined {
  const asked = events.find((event) => event.kind === 'asked');
  if (asked === undefined || events.some(({ kind }) => kind !== 'asked')) return undefined;
  return { id: asked.unload, room: asked.room, at: asked.at, askedAt: asked.t, why: asked.why };
}
