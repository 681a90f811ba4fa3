import type { FarmFile } from '../../shared/farm/schema.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { createRandom, type Random, seedOf } from '../random.ts';
import type { RoomTruth } from '../room/room-truth.ts';
import { createWorld, restoreWorld, type World } from '../world.ts';
import { roomTruthOf } from '../world-snapshot.ts';
import { drawStrangeRoom, type StrangeRoom, strangeRoomId } from './strange-room.ts';

/** A thermometer held into a container in the middle of the load. */
export interface CoreReading {
  t: EpochMs;
  tempC: number;
}

/** A hot load as its farm would record it. */
export interface RecordedUnload {
  at: EpochMs;
  container: string;
  count: number;
  /** As measured when the vessel was opened [°C]. */
  startC: number;
  /** When it was carried out of the room; null while it stands there. */
  takenAwayAt: EpochMs | null;
  cores: CoreReading[];
}

/** Air and outside air of each minute as sensors tell them, NaN where they were silent. */
export interface RoomPast {
  from: EpochMs;
  airC: Float64Array;
  outsideC: Float64Array | null;
  /** 1 where the thermostat asked for cold at the minute, else 0: what a contact at the cooler would tell. */
  coolerOn: Float32Array;
  unloads: RecordedUnload[];
}

/** What truly happened during the last unload, minute by minute from when it came in. */
export interface UnloadTruth {
  /** True air at the room's sensor [°C]; no measuring error in it. */
  airC: Float64Array;
  coreC: Float64Array;
  /** True air on each shelf of the rack, top first [°C]. */
  shelvesC: Float64Array[];
}

/** A room that nobody has seen: its past, then an unload of which the past knows nothing. */
export interface UnloadCase {
  seed: number;
  farm: FarmFile;
  room: string;
  floorAreaM2: number;
  /** What stands on the cooler [W]; null where nobody can read it. */
  nameplateW: number | null;
  limitC: number;
  /** How much warmer each shelf was than the room's sensor over the last days, top first [K]. */
  shelvesAboveK: number[];
  past: RoomPast;
  unload: RecordedUnload;
  truth: UnloadTruth;
  /** Lets another load than the recorded one come in, at the same minute of the same world; for advice carried out. */
  carryOut(count: number): UnloadTruth;
  /** The room as it really is, for measuring, never for a forecast. */
  built: RoomTruth;
}

export interface UnloadStudy {
  count: number;
  seed: number;
  days: number;
  /** Small unloads in the past: none, or three. */
  small: number;
}

const firstDay = Date.UTC(2025, 2, 3);
const warmUpMs = 24 * hourMs;
const followedMs = 36 * hourMs;

const shelves = ['R1', 'R2', 'R3', 'R4'] as const;

const containersYaml = `
containers:
  - { id: block, name: Block, kind: block, shape: { form: brick, widthM: 0.2, depthM: 0.13, heightM: 0.22 }, massKg: 2.5, volumeL: 5.7, moisture: 0.6 }
  - { id: bag, name: Grain bag, kind: bag, shape: { form: brick, widthM: 0.2, depthM: 0.12, heightM: 0.2 }, massKg: 3, volumeL: 4.8, moisture: 0.5 }
  - { id: jar, name: Jar, kind: jar, shape: { form: cylinder, diameterM: 0.1, heightM: 0.15 }, massKg: 0.7, volumeL: 1, moisture: 0.5 }
`;
/** Mostly blocks and bags: jars come out of small vessels, few at a time. */
const usualContainers = ['block', 'block', 'block', 'block', 'bag', 'bag', 'bag', 'bag', 'jar'] as const;
/** As many as a farm unloads at once. */
const mostContainers = 600;
const massKg = { block: 2.5, bag: 3, jar: 0.7 };

/** As strange as other studies' rooms, and lower or higher under the ceiling; coolers with less to spare. */
function drawRoom(random: Random): StrangeRoom & { nameplateW: number | null; floorAreaM2: number } {
  const strange = drawStrangeRoom(random, { low: 1.05, high: 2 });
  const spec = strange.scenario.rooms[strangeRoomId]!;
  const change = spec.change!;
  const coolingW = change.coolingW!;
  const floorAreaM2 = change.volumeM3! / 2.6;
  return {
    limitC: strange.limitC,
    floorAreaM2,
    nameplateW: random.chance(0.6) ? Math.round((coolingW * random.logNormal(1, 0.12)) / 100) * 100 : null,
    scenario: {
      ...strange.scenario,
      farmYaml: strange.scenario.farmYaml + containersYaml,
      rooms: {
        [strangeRoomId]: {
          ...spec,
          change: { ...change, volumeM3: floorAreaM2 * random.between(2.2, 3.2) },
        },
      },
    },
  };
}

const noisy = (random: Random, tempC: number, sdK: number) =>
  Math.round((tempC + random.normal(0, sdK)) * 10) / 10;

/** Lives a world to an instant, putting down what its room's sensor, its cooler and one outside say of each minute. */
function live(
  world: World,
  until: EpochMs,
  past: Pick<RoomPast, 'from' | 'airC' | 'outsideC' | 'coolerOn'>,
  random: Random,
) {
  // Each minute begins at its place, as the store keeps it; what ran up to an instant ran in the minute before.
  const place = (t: EpochMs) => Math.floor((t - past.from) / minuteMs);
  for (let t = world.now() + minuteMs; t <= until; t += minuteMs) {
    for (const { topic, payload, t: at } of world.stepTo(t))
      if (topic === 'study/air' && place(at) >= 0 && place(at) < past.airC.length)
        past.airC[place(at)] = Number(payload);
    if (place(t) <= past.coolerOn.length) past.coolerOn[place(t) - 1] = world.coolerOn(strangeRoomId) ? 1 : 0;
    if (past.outsideC !== null && place(t) < past.outsideC.length)
      past.outsideC[place(t)] = noisy(random, world.outsideC(), 0.3);
  }
}

/** Follows a load from the minute at which it comes in. */
function follow(world: World, load: { container: string; count: number; startC: number }): UnloadTruth {
  const minutes = followedMs / minuteMs;
  const airC = new Float64Array(minutes);
  const coreC = new Float64Array(minutes);
  const shelvesC = shelves.map(() => new Float64Array(minutes));
  const from = world.now();
  world.bringIn({ id: 'last', room: strangeRoomId, ...load });
  for (let minute = 0; minute < minutes; minute += 1) {
    world.stepTo(from + (minute + 1) * minuteMs);
    airC[minute] = world.airC(strangeRoomId);
    coreC[minute] = world.loadC('last')!.coreC;
    for (const [k, shelf] of shelves.entries()) shelvesC[k]![minute] = world.airC(shelf);
  }
  return { airC, coreC, shelvesC };
}

/**
 * Unloads in rooms that nobody has seen: some days in which a room lives as rooms do, with small unloads in
 * them or none, then one larger than any before. About a second each.
 */
export function* unloadRooms({ count, seed, days, small }: UnloadStudy): Generator<UnloadCase> {
  for (let i = 0; i < count; i += 1) {
    const own = seedOf(seed, 'unloads', i);
    const random = createRandom(own);
    const { scenario, limitC, nameplateW, floorAreaM2 } = drawRoom(random);
    const world = createWorld({ scenario, seed: seedOf(own, 'world'), startAt: firstDay - warmUpMs });
    world.stepTo(firstDay);
    const container = random.pick(usualContainers);
    const countOf = (kgPerM2: number) =>
      Math.min(mostContainers, Math.max(4, Math.round((kgPerM2 * floorAreaM2) / massKg[container]!)));
    const largeKgPerM2 = random.between(6, 25);
    const minutes = (days * dayMs) / minuteMs;
    const past: RoomPast = {
      from: firstDay,
      airC: new Float64Array(minutes + 24 * 60).fill(Number.NaN),
      outsideC: random.chance(0.5) ? new Float64Array(minutes + 24 * 60).fill(Number.NaN) : null,
      coolerOn: new Float32Array(minutes + 24 * 60),
      unloads: [],
    };
    const hourOf = () => (7 + Math.floor(random.between(0, 8 * 60)) / 60) * hourMs;
    for (let n = 0; n < small; n += 1) {
      const at = firstDay + Math.floor(((n + 0.6) * days) / small) * dayMs + hourOf();
      live(world, at, past, random);
      const load = {
        container,
        count: countOf(largeKgPerM2 * random.between(0.15, 0.45)),
        startC: random.between(88, 100),
      };
      world.bringIn({ id: `small-${n}`, room: strangeRoomId, ...load });
      const cores: CoreReading[] = [];
      const takenAwayAt = at + Math.round(random.between(16, 22) * 60) * minuteMs;
      const coreC = () => world.loadC(`small-${n}`)!.coreC;
      const measure = () => cores.push({ t: world.now(), tempC: noisy(random, coreC(), 0.4) });
      // Once on the way, and when it is found cool enough to go on with, or is carried out.
      live(world, at + Math.round(random.between(1.5, 3) * 60) * minuteMs, past, random);
      measure();
      const readyC = random.between(27, 33);
      while (coreC() > readyC && world.now() < takenAwayAt)
        live(world, world.now() + 10 * minuteMs, past, random);
      measure();
      live(world, takenAwayAt, past, random);
      world.takeAway(`small-${n}`);
      past.unloads.push({ at, ...load, startC: noisy(random, load.startC, 1), takenAwayAt, cores });
    }
    const at = firstDay + days * dayMs + hourOf();
    const aboveK = shelves.map(() => 0);
    const toGoMin = Math.round((at - world.now()) / minuteMs);
    for (let minute = 1; minute <= toGoMin; minute += 1) {
      live(world, world.now() + minuteMs, past, random);
      for (const [k, shelf] of shelves.entries())
        aboveK[k]! += (world.airC(shelf) - world.airC(strangeRoomId)) / toGoMin;
    }
    const heard = Math.round((at - firstDay) / minuteMs);
    past.airC = past.airC.slice(0, heard);
    past.outsideC = past.outsideC?.slice(0, heard) ?? null;
    past.coolerOn = past.coolerOn.slice(0, heard);
    const startC = random.between(88, 100);
    const load = { container, count: countOf(largeKgPerM2), startC };
    const before = world.snapshot();
    const again = (many: number) => follow(restoreWorld(scenario, before), { ...load, count: many });
    yield {
      ...{ seed: own, farm: world.farm, room: strangeRoomId, floorAreaM2, nameplateW, limitC, past },
      shelvesAboveK: aboveK,
      unload: { at, ...load, startC: noisy(random, startC, 1), takenAwayAt: null, cores: [] },
      truth: follow(world, load),
      carryOut: again,
      built: roomTruthOf(scenario, world.farm, seedOf(own, 'world'), strangeRoomId),
    };
  }
}
