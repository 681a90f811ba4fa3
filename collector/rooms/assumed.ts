import type { Farm } from '../../shared/farm/farm.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';

/** Of a room whose floor area nobody gave [m2]. */
const usualAreaM2 = 15;

/** A room before its past is known: from its floor area, the cooler's nameplate and its limits in the farm file. */
export function assumedRoom(farm: Farm, room: string): RoomFit {
  const known = farm.rooms.get(room);
  const { low, high } = known?.limits.temperature ?? {};
  const setC = low !== undefined && high !== undefined ? (low + high) / 2 : undefined;
  const fit = defaultRoom(
    known?.floorAreaM2 ?? usualAreaM2,
    known?.coolingW,
    setC === undefined ? {} : { setC },
  );
  if (known?.floorAreaM2 !== undefined) return fit;
  return {
    ...fit,
    notes: [
      ...fit.notes,
      `No floor area is given: ${usualAreaM2} m² are assumed. Write floorAreaM2 into the farm file.`,
    ],
  };
}
