import type { Farm } from '../../shared/farm/farm.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import type { RoomPage } from '../../shared/unloads.ts';

/** Rooms as they are assumed from floor area and limits alone. */
export function createAssumedRooms(farm: () => Farm) {
  return {
    fitOf(room: string): RoomFit {
      const known = farm().rooms.get(room);
      const { low, high } = known?.limits.temperature ?? {};
      const setC = low !== undefined && high !== undefined ? (low + high) / 2 : 22;
      return defaultRoom(known?.floorAreaM2 ?? 12, undefined, { setC });
    },
    page: (room: string): Omit<RoomPage, 'unloads'> => ({
      ...{ room, words: [], learnedAt: null, days: 0, figures: [], residualSdK: null, notes: [] },
    }),
  };
}
