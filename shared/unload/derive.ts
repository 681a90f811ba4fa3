import type { EpochMs } from '../time.ts';
import type {
  HotLoad,
  UnloadDenied,
  UnloadEvent,
  UnloadEventOf,
  UnloadOptions,
  UnloadStage,
} from '../unloads.ts';

/** A time in which the probe of a channel stood in a load; `to` is null while it does. */
export interface ProbeSpan {
  channel: string;
  from: EpochMs;
  to: EpochMs | null;
}

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
  /** Probes that stood in it, one after another. */
  probes: ProbeSpan[];
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
    probes: probesOf(ordered),
    measured: ordered.filter((event) => event.kind === 'measured'),
  };
}

function probesOf(events: readonly UnloadEvent[]): ProbeSpan[] {
  const spans: ProbeSpan[] = [];
  const put = (channel: string | null, t: EpochMs): void => {
    const last = spans.at(-1);
    if (last?.to === null) {
      if (last.channel === channel) return;
      last.to = t;
    }
    if (channel !== null) spans.push({ channel, from: t, to: null });
  };
  for (const event of events)
    if (event.kind === 'begun') put(event.probe ?? null, event.t);
    else if (event.kind === 'probed') put(event.channel, event.t);
  return spans;
}

/** The question among the events of one unload that was answered with no; undefined where none was. */
export function deniedOf(events: readonly UnloadEvent[]): (UnloadDenied & { room: string }) | undefined {
  const asked = events.find((event) => event.kind === 'asked');
  const denied = events.find((event) => event.kind === 'denied');
  if (asked === undefined || denied === undefined) return undefined;
  return {
    ...{ id: asked.unload, room: asked.room, at: asked.at, askedAt: asked.t, why: asked.why },
    ...{ deniedAt: denied.t, who: denied.who, because: denied.why ?? null },
  };
}

/** The question that is open among the events of one unload, or undefined when it was answered or never asked. */
export function askedOf(events: readonly UnloadEvent[]): UnloadAsked | undefined {
  const asked = events.find((event) => event.kind === 'asked');
  if (asked === undefined || events.some(({ kind }) => kind !== 'asked')) return undefined;
  return { id: asked.unload, room: asked.room, at: asked.at, askedAt: asked.t, why: asked.why };
}
