import { type EpochMs, minuteMs } from '../shared/time.ts';
import { unloadHold, type WatchedUnload, watchedByRoom } from '../shared/unload/watched.ts';

/**
 * A load answers alarms for so long while nobody can hold the air against its plan: at a start, while the plan is
 * being made (assumed). Then what it was to be watched by is away, and the ordinary alarms watch again.
 */
const unwatchedMs = 15 * minuteMs;

/**
 * What people declared that answers alarms without being one: hot loads that cool in a room, for as long as
 * their plan says, and while the air is held against it and goes by it.
 *
 * @param isBeyond whether the alarm holds that says a room is warmer than its unload was planned to make it.
 */
export function createDeclared(
  unloads: () => readonly WatchedUnload[],
  isBeyond: (room: string) => boolean,
  now: EpochMs,
) {
  /** By unload, since when nobody knows how the air is to its plan. */
  let unwatchedSince: ReadonlyMap<string, EpochMs> = new Map();
  const standing = (t: EpochMs) => {
    const all = [...watchedByRoom(unloads()).values()];
    unwatchedSince = new Map(
      all.flatMap(({ id, beyondK }) => (beyondK === null ? [[id, unwatchedSince.get(id) ?? t]] : [])),
    );
    const isWatched = ({ id }: WatchedUnload) => t - (unwatchedSince.get(id) ?? t) < unwatchedMs;
    return new Map(
      all.flatMap((unload) =>
        t < unload.heldUntil && isWatched(unload) ? [[unloadHold(unload.room), unload]] : [],
      ),
    );
  };
  let known: ReadonlyMap<string, WatchedUnload> = standing(now);
  /** Asked anew each time: a room is beyond its plan, or within it again, between two looks. */
  const has = (by: string): boolean => {
    const unload = known.get(by);
    return unload !== undefined && !isBeyond(unload.room);
  };
  const held = (): ReadonlySet<string> => new Set([...known.keys()].filter(has));
  /** What stood when alarms were last told, as far as that was written. */
  let written = held();
  let looked = written;

  return {
    has,
    /** Rooms in which an unload answers alarms, also while one is beyond its plan and its own alarm rings for them. */
    rooms: (): ReadonlySet<string> => new Set([...known.values()].map(({ room }) => room)),
    /** In words, or undefined when it does not stand. */
    title(by: string): string | undefined {
      const unload = known.get(by);
      return unload && `A hot load cools here: ${unload.load}`;
    },
    /** Looks anew. Returns what was declared, or is no more, of which alarms have not been told. */
    look(t: EpochMs): string[] {
      known = standing(t);
      looked = held();
      return [...new Set([...written, ...looked])].filter((by) => written.has(by) !== looked.has(by));
    },
    /** Alarms were told, and it is committed: else the next look says the same again. */
    committed(): void {
      written = looked;
    },
  };
}
