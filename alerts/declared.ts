import type { EpochMs } from '../shared/time.ts';
import { unloadHold, type WatchedUnload } from '../shared/unload/watched.ts';

/**
 * What people declared that answers alarms without being one: hot loads that cool in a room, for as long as
 * their plan says.
 */
export function createDeclared(unloads: () => readonly WatchedUnload[], now: EpochMs) {
  const standing = (t: EpochMs) =>
    new Map(unloads().flatMap((unload) => (t < unload.heldUntil ? [[unloadHold(unload.room), unload]] : [])));
  let known: ReadonlyMap<string, WatchedUnload> = standing(now);

  return {
    has: (by: string): boolean => known.has(by),
    /** In words, or undefined when it does not stand. */
    title(by: string): string | undefined {
      const unload = known.get(by);
      return unload && `A hot load cools here: ${unload.load}`;
    },
    /** Looks anew. Returns what was declared since, or is no more. */
    look(t: EpochMs): string[] {
      const before = known;
      known = standing(t);
      return [...new Set([...before.keys(), ...known.keys()])].filter(
        (by) => before.has(by) !== known.has(by),
      );
    },
  };
}
