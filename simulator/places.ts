import type { FarmFile } from '../shared/farm/schema.ts';
import { createRandom, seedOf } from './random.ts';
import type { AirPlace } from './room/room.ts';

export interface Place extends AirPlace {
  room: string;
}

/** Where shelves and rooms of a farm hang in their air; racks differ in nearness to cooler and door. */
export function placesOf(farm: FarmFile, seed: number): Map<string, Place> {
  const places = new Map<string, Place>();
  for (const room of farm.rooms) {
    const inRoom = createRandom(seedOf(seed, 'place', room.id));
    places.set(room.id, {
      room: room.id,
      height: 0.55,
      offsetK: inRoom.normal(0, 0.1),
      draught: 0.2,
      door: 0.4,
    });
    for (const rack of room.racks) {
      const random = createRandom(seedOf(seed, 'place', room.id, rack.id));
      const rackK = random.normal(0, 0.3);
      const draught = random.uniform();
      const door = random.uniform();
      rack.shelves.forEach((shelf, level) => {
        places.set(shelf.id, {
          room: room.id,
          height: 0.88 - (0.76 * level) / Math.max(1, rack.shelves.length - 1),
          offsetK: rackK + random.normal(0, 0.15),
          draught: draught * (level === 0 ? 1 : 0.5),
          door,
        });
      });
    }
  }
  return places;
}
