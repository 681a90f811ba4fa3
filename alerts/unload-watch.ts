import type { Farm } from '../shared/farm/farm.ts';
import type { EpochMs } from '../shared/time.ts';
import { type WatchedUnload, watchedByRoom } from '../shared/unload/watched.ts';

/** What may go wrong with a hot load. */
export const unloadTroubles = ['beyond', 'slow', 'warm', 'forgotten'] as const;
export type UnloadTrouble = (typeof unloadTroubles)[number];

/** Name of the signal of a trouble with the load in a room. */
export const unloadSignal = (room: string, trouble: UnloadTrouble): string => `unload-${trouble}>${room}`;

/** Id of the alarm of a trouble with the load in a room. */
export const unloadAlarm = (room: string, trouble: UnloadTrouble): string => `unload-${trouble}/${room}`;

/** What is said of a trouble where no load is, and of one that cannot be known. */
const calm = Number.NEGATIVE_INFINITY;

const measureOf: Record<UnloadTrouble, (unload: WatchedUnload) => number | null> = {
  beyond: ({ beyondK }) => beyondK,
  slow: ({ slowK }) => slowK,
  warm: ({ warmK }) => warmK ?? calm,
  forgotten: ({ overdueMin }) => overdueMin,
};

/** Says to the alarms how unloads go, room by room. What is not known is not said. */
export function createUnloadWatch(
  say: (signal: string, t: EpochMs, value: number, detail: string | null) => void,
) {
  let rooms: string[] = [];

  return {
    setFarm(farm: Farm): void {
      rooms = [...farm.rooms.keys()];
    },
    /** All unloads underway; those of one room are told of together. */
    note(unloads: readonly WatchedUnload[], now: EpochMs): void {
      const byRoom = watchedByRoom(unloads);
      for (const room of rooms) {
        const unload = byRoom.get(room);
        for (const trouble of unloadTroubles) {
          const value = unload === undefined ? calm : measureOf[trouble](unload);
          if (value !== null) say(unloadSignal(room, trouble), now, value, unload?.load ?? null);
        }
      }
    },
  };
}
