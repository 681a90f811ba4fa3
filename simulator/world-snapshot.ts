import type { BagEvent } from '../shared/bags.ts';
import { AppError } from '../shared/errors.ts';
import type { FarmFile } from '../shared/farm/schema.ts';
import type { EpochMs } from '../shared/time.ts';
import type { BatchRecord } from './bag/batch.ts';
import { createRandom, seedOf } from './random.ts';
import type { RoomFault } from './room/faults.ts';
import type { HotLoadState } from './room/hot-load.ts';
import { freshRoomState, type RoomState } from './room/room.ts';
import { middlingRoom, type RoomTruth, scatterRoom } from './room/room-truth.ts';
import type { Weather } from './room/weather.ts';
import type { Scenario } from './scenarios/scenario.ts';
import type { SensorState } from './sensor/sensor.ts';

/** A world put away as JSON; belongs to the scenario and seed that it was made with. */
export interface WorldSnapshot {
  version: 2;
  scenario: string;
  seed: number;
  startAt: EpochMs;
  now: EpochMs;
  /** Room steps done. */
  steps: number;
  leastSpacingS: number;
  /** The same for the air of rooms at large; in a world put away before it had its own, as for all. */
  roomAirSpacingS?: number;
  weather: Weather & { random: number[] };
  rooms: Record<string, RoomState>;
  /** Air at the film of bags, by shelf: the room's swings of minutes smoothed out [°C]. */
  shelfAirC: Record<string, number>;
  /** Heat of the bags by room and layer, floor first [W]. */
  bagsW: Record<string, number[]>;
  /** Empty in a world that has not begun. */
  sensors: Record<string, SensorState>;
  batches: BatchRecord[];
  /** Events of later. */
  waiting: BagEvent[];
  extraFaults: RoomFault[];
  /** Hot loads that stand in rooms; a world put away before there were any has none. */
  loads?: HotLoadState[];
}

/** The room as it was built for this seed. Throws when the scenario does not know it. */
export function roomTruthOf(scenario: Scenario, farm: FarmFile, seed: number, room: string): RoomTruth {
  const spec = scenario.rooms[room];
  if (spec === undefined)
    throw new AppError('farm-file', `Scenario ${scenario.id} does not say how room ${room} is built.`);
  const area = farm.rooms.find(({ id }) => id === room)?.floorAreaM2 ?? 12;
  const middling = { ...middlingRoom(area, spec.heatBelowC, spec.coolAboveC), ...spec.change };
  return scatterRoom(middling, createRandom(seedOf(seed, 'built', room)));
}

/** A world before its first minute: rooms in balance, no bags. */
export function firstSnapshot(
  scenario: Scenario,
  farm: FarmFile,
  seed: number,
  startAt: EpochMs,
): WorldSnapshot {
  const byRoom = <T>(make: (room: string) => T): Record<string, T> =>
    Object.fromEntries(farm.rooms.map(({ id }) => [id, make(id)]));
  const truths = byRoom((room) => roomTruthOf(scenario, farm, seed, room));
  return {
    version: 2,
    scenario: scenario.id,
    seed,
    startAt,
    now: startAt,
    steps: 0,
    leastSpacingS: 0,
    weather: { departureK: 0, random: createRandom(seedOf(seed, 'weather')).state() },
    rooms: byRoom((room) => freshRoomState(truths[room]!, createRandom(seedOf(seed, 'room', room)).state())),
    shelfAirC: {},
    bagsW: byRoom((room) => Array.from({ length: truths[room]!.layers }, () => 0)),
    sensors: {},
    batches: [],
    waiting: [],
    extraFaults: [],
  };
}
