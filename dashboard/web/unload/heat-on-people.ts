import { wbgtIndoorsC } from '../../../shared/air/heat-stress.ts';
import { AppError } from '../../../shared/errors.ts';
import type { LiveState } from '../../../shared/live.ts';
import { roomValue } from '../climate.ts';

export interface RoomHeat {
  room: string;
  /** Wet-bulb globe temperature, estimated [°C]. */
  wbgtC: number;
}

/** What rooms are to the people in them, where temperature and humidity are told now; all rooms unless some are named. */
export function heatOnPeople(live: LiveState, rooms?: readonly string[]): RoomHeat[] {
  return live.farm.rooms.flatMap((room) => {
    if (rooms !== undefined && !rooms.includes(room.id)) return [];
    const air = roomValue(live, room, 'temperature');
    const humidity = roomValue(live, room, 'humidity');
    if (air?.trust !== 'good' || humidity?.trust !== 'good') return [];
    try {
      return [{ room: room.name, wbgtC: wbgtIndoorsC(air.value, humidity.value) }];
    } catch (thrown) {
      // Below freezing, say: no strain on anybody.
      if (thrown instanceof AppError) return [];
      throw thrown;
    }
  });
}
