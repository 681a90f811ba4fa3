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
