import type { EpochMs } from '../time.ts';

/** An unload that is underway, as alarms look after it. */
export interface WatchedUnload {
  id: string;
  room: string;
  /** What is cooling, in words: `40 × Block 2.3 kg`. */
  load: string;
  at: EpochMs;
  /** Until here by its plan the room's ordinary high alarms are answered by the unload. */
  heldUntil: EpochMs;
  /** How far the room's air is above the most that the plan expected [K]; null while it is not known. */
  beyondK: number | null;
  /** How far the measured core of the load is above the most that the plan expected [K]; null until measured. */
  slowK: number | null;
  /** How far the core is above the inoculation temperature while somebody makes batches of it [K]; else null. */
  warmK: number | null;
  /** How long ago all should have been over [min]; below zero it is still to come. */
  overdueMin: number;
  /** Channel of the probe that stands in it, and since when; null: none. */
  probe: { channel: string; since: EpochMs } | null;
}

const worst = (values: readonly (number | null)[]): number | null => {
  const known = values.filter((value) => value !== null);
  return known.length === 0 ? null : Math.max(...known);
};

/**
 * The loads of each room as one, by room: what holds of the air as the plan of the newest has it, which counts the
 * others, and of the loads' own troubles the worst.
 */
export function watchedByRoom(unloads: readonly WatchedUnload[]): ReadonlyMap<string, WatchedUnload> {
  const rooms = new Map<string, WatchedUnload>();
  for (const one of [...unloads].sort((a, b) => a.at - b.at)) {
    const before = rooms.get(one.room);
    rooms.set(
      one.room,
      before === undefined
        ? one
        : {
            ...one,
            load: `${before.load} and ${one.load}`,
            at: before.at,
            heldUntil: Math.max(before.heldUntil, one.heldUntil),
            slowK: worst([before.slowK, one.slowK]),
            warmK: worst([before.warmK, one.warmK]),
            overdueMin: Math.max(before.overdueMin, one.overdueMin),
          },
    );
  }
  return rooms;
}

/** Names what holds back the ordinary high alarms of a room while an unload there is underway. */
export const unloadHold = (room: string): string => `unload/${room}`;

/** A time in which an unload held alarms back. */
export interface HeldSpan {
  room: string;
  from: EpochMs;
  /** Not yet over: Infinity. */
  to: EpochMs;
}
