import type { BagEvent } from '../../shared/bags.ts';
import type { FarmFile } from '../../shared/farm/schema.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { createRandom, type Random, seedOf } from '../random.ts';
import type { RoomTruth } from '../room/room-truth.ts';
import type { Scenario } from '../scenarios/scenario.ts';
import { createWorld, type World } from '../world.ts';
import { roomTruthOf } from '../world-snapshot.ts';
import { drawStrangeRoom, strangeRoomId } from './strange-room.ts';

/** A room in which bags come and go, as its farm has it on record, and how it really is. */
export interface BagRoom {
  farm: FarmFile;
  room: string;
  floorAreaM2: number;
  /** First minute of the record; the first day has no bags yet. */
  from: EpochMs;
  /** Of each minute: the room's sensor, one outside, and whether the cooler ran (1) or not. */
  airC: Float64Array;
  outsideC: Float64Array;
  coolerOn: Float32Array;
  /** All that was recorded of bags, looks among it. */
  events: BagEvent[];
  /** For measuring, never for a fit: the room as built, and what bags truly gave, mean of each `truthEveryMs` [W]. */
  built: RoomTruth;
  bagsW: Float64Array;
}

export const truthEveryMs = 6 * hourMs;

const firstDay = Date.UTC(2025, 2, 3);
const warmUpMs = dayMs;
const sackKg = 12;
const farmYaml = `
containers:
  - { id: sack, name: Sack, kind: bag, shape: { form: brick, widthM: 0.3, depthM: 0.25, heightM: 0.3 }, massKg: ${sackKg}, volumeL: 22, moisture: 0.6 }
strains:
  - { id: one, name: One, species: oyster }
  - { id: two, name: Two, species: lions-mane }
`;
const shelves = ['R1', 'R2', 'R3', 'R4'] as const;
/** Part of the time after which each batch is made, in rooms that are emptied and in rooms that fill; and how long it stands. */
const madeAtPart = { emptied: [0.05, 0.16, 0.27], fills: [0.45, 0.55, 0.65] } as const;
const standsPart = 0.5;

const noisy = (value: number, noise: number) => Math.round((value + noise) * 10) / 10;

/** What the room's sensor, one outside and the cooler say of each minute up to an instant. */
function live(world: World, until: EpochMs, room: BagRoom, noiseK: () => number): void {
  const truthEvery = truthEveryMs / minuteMs;
  for (let t = world.now() + minuteMs; t <= until; t += minuteMs) {
    const place = Math.round((t - firstDay) / minuteMs) - 1;
    for (const { topic, payload } of world.stepTo(t))
      if (topic === 'study/air') room.airC[place] = Number(payload);
    room.outsideC[place] = noisy(world.outsideC(), noiseK());
    room.coolerOn[place] = world.coolerOn(strangeRoomId) ? 1 : 0;
    room.bagsW[Math.floor(place / truthEvery)]! += world.bagsW(strangeRoomId) / truthEvery;
  }
}

/** How a room of a study is built and what weather it has: as strange as in other studies, or in middling make. */
function drawScenario(random: Random, middling: boolean): Scenario {
  const { scenario } = drawStrangeRoom(random, { low: 1.4, high: 2.5 });
  const withSacks = { ...scenario, farmYaml: scenario.farmYaml + farmYaml };
  if (!middling) return withSacks;
  const climate = { ...scenario.climate, meanC: 24, dayHalfRangeK: 5, weatherSdK: 2, weatherHours: 40 };
  return { ...withSacks, climate, rooms: { [strangeRoomId]: { heatBelowC: 22, coolAboveC: 23.5 } } };
}

/** What somebody does with bags, and when; in order of time. */
function doingsOf(
  { world, events, minutes }: { world: World; events: BagEvent[]; minutes: number },
  madeAt: readonly number[],
  sacks: number,
  random: Random,
): { t: EpochMs; what: () => void }[] {
  const happens = (event: BagEvent) => {
    events.push(event);
    world.apply(event);
  };
  const after = (part: number) => firstDay + Math.round(part * minutes) * minuteMs;
  return madeAt
    .flatMap((part, n) => {
      const t = after(part);
      const left = after(part + standsPart);
      const common = { who: 'Ida', batch: `batch-${n}` };
      const made: BagEvent = {
        ...{ ...common, kind: 'made', id: `made-${n}-0000`, t, strain: n % 2 === 0 ? 'one' : 'two' },
        ...{ container: 'sack', count: sacks, generation: 'block' },
        inoculation: { way: 'grain-to-grain', partsPerSpawn: 15 + random.below(10) },
      };
      const placed: BagEvent = { ...common, kind: 'placed', id: `placed-${n}-0000`, t, shelf: shelves[n]! };
      const used: BagEvent = { ...common, kind: 'used', id: `used-${n}-0000`, t: left };
      const look = (days: number) => ({
        t: t + days * dayMs,
        what: () =>
          happens({
            ...{ ...common, kind: 'checked', id: `look-${n}-${days}-0000`, t: t + days * dayMs },
            share: world.look(common.batch, 'Ida').share,
          }),
      });
      const making = () => {
        happens(made);
        happens(placed);
      };
      return [{ t, what: making }, look(4), look(8), { t: left, what: () => happens(used) }];
    })
    .sort((a, b) => a.t - b.t);
}

interface BagRoomsStudy {
  count: number;
  seed: number;
  days: number;
  /** Rooms in middling make and mild weather, in which bags give much of the heat. */
  middling?: boolean;
}

/**
 * Rooms that nobody has seen, by turns emptied and filled, with three batches of sacks that come and go, 80 to 200 kg
 * of them to a square metre at the fullest. A second or two each.
 */
export function* bagRooms({ count, seed, days, middling = false }: BagRoomsStudy): Generator<BagRoom> {
  const minutes = (days * dayMs) / minuteMs;
  const end = firstDay + days * dayMs;
  for (let i = 0; i < count; i += 1) {
    const own = seedOf(seed, 'bag-rooms', i);
    const random = createRandom(own);
    const scenario = drawScenario(random, middling);
    const worldSeed = seedOf(own, 'world');
    const world = createWorld({ scenario, seed: worldSeed, startAt: firstDay - warmUpMs });
    world.stepTo(firstDay);
    const floorAreaM2 = world.farm.rooms[0]!.floorAreaM2!;
    const room: BagRoom = {
      ...{ farm: world.farm, room: strangeRoomId, floorAreaM2, from: firstDay, events: [] },
      airC: new Float64Array(minutes).fill(Number.NaN),
      outsideC: new Float64Array(minutes),
      coolerOn: new Float32Array(minutes),
      built: roomTruthOf(scenario, world.farm, worldSeed, strangeRoomId),
      bagsW: new Float64Array((days * dayMs) / truthEveryMs),
    };
    const sacks = Math.max(4, Math.round((random.between(80, 200) * floorAreaM2) / sackKg / 3));
    const madeAt = madeAtPart[i % 2 === 0 ? 'emptied' : 'fills'];
    const noiseK = () => random.normal(0, 0.3);
    for (const { t, what } of doingsOf({ world, events: room.events, minutes }, madeAt, sacks, random)) {
      if (t >= end) break;
      live(world, t, room, noiseK);
      what();
    }
    live(world, end, room, noiseK);
    yield room;
  }
}
