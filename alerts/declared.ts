import { type EpochMs, minuteMs } from '../shared/time.ts';
import { unloadHold, type WatchedUnload } from '../shared/unload/watched.ts';

/**
 * A load answers alarms for so long while nobody can hold the air against its plan: at a start, while the plan is
 * being made (assumed). Then what it was to be watched by is away, and the ordinary alarms watch again.
 */
const unwatchedMs = 15 * minuteMs;

/**
 * What people declared that answers alarms without being one: hot loads that cool in a room, for as long as
 * their plan says, and while the air is held against it.
 */
export function createDeclared(unloads: () => readonly WatchedUnload[], now: EpochMs) {
  /** By unload, since when nobody knows how the air is to its plan. */
  let unwatchedSince: ReadonlyMap<string, EpochMs> = new Map();
  const standing = (t: EpochMs) => {
    const all = unloads();
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
  /** What stood when alarms were last told, as far as that was written. */
  let written = known;

  return {
    has: (by: string): boolean => known.has(by),
    /** In words, or undefined when it does not stand. */
    title(by: string): string | undefined {
      const unload = known.get(by);
      return unload && `A hot load cools here: ${unload.load}`;
    },
    /** Looks anew. Returns what was declared, or is no more, of which alarms have not been told. */
    look(t: EpochMs): string[] {
      known = standing(t);
      return [...new Set([...written.keys(), ...known.keys()])].filter(
        (by) => written.has(by) !== known.has(by),
      );
    },
    /** Alarms were told, and it is committed: else the next look says the same again. */
    committed(): void {
      written = known;
    },
  };
}
