import type { BagEvent } from '../shared/bags.ts';
import { AppError } from '../shared/errors.ts';
import type { FarmFile, Sensor } from '../shared/farm/schema.ts';
import type { EpochMs } from '../shared/time.ts';
import { type BagTruthNow, createPopulation, type Look } from './bag/population.ts';
import { placesOf } from './places.ts';
import { createRandom, resumeRandom, seedOf } from './random.ts';
import { ailmentsAt, type RoomFault } from './room/faults.ts';
import { createHotLoad, drawCart, freshLoad, type HotLoad } from './room/hot-load.ts';
import { createRoom, type Room } from './room/room.ts';
import { outsideC, stepWeather } from './room/weather.ts';
import { farmOf, type Scenario } from './scenarios/scenario.ts';
import { createSensor, freshSensorState, type SensorMessage, type Surroundings } from './sensor/sensor.ts';
import { drawTraits } from './sensor/traits.ts';
import { firstSnapshot, roomTruthOf, type WorldSnapshot } from './world-snapshot.ts';

const roomStepS = 60;
/** Bags change slowly: one step of theirs to this many of the room's. */
const stepsPerBagStep = 5;
const filmSmoothingS = 300;
/** The air that a cart stands in. */
const besideCart = { height: 0.35, offsetK: 0, draught: 0, door: 0 };

export interface World {
  readonly farm: FarmFile;
  readonly scenario: Scenario;
  readonly startAt: EpochMs;
  now(): EpochMs;
  /** Lives on to `t` and returns what sensors sent on the way, in order. Throws for a time that has passed. */
  stepTo(t: EpochMs): SensorMessage[];
  /**
   * Makes the truth follow what was done. An event of later waits for its time; bags made earlier than
   * now grow up to now; an event seen before, or of a batch unknown here, changes nothing.
   */
  apply(event: BagEvent): void;
  /**
   * Brings a hot load into a room now, packed as this farm packs its carts, where it stands until it is taken
   * away. `probe` names the sensor whose probe stands in it; left out, it is the room's own for loads. Throws
   * AppError 'not-found' for a room or container that is not of the farm.
   */
  bringIn(load: {
    id: string;
    room: string;
    container: string;
    count: number;
    startC: number;
    probe?: string | null;
  }): void;
  /** Puts a sensor's probe into a hot load, or takes it out (null); a load that is not there changes nothing. */
  putProbe(id: string, probe: string | null): void;
  /** Takes a hot load away; one that is not there changes nothing. */
  takeAway(id: string): void;
  /** Core and skin of the containers in the middle of a hot load [°C]; undefined when it does not stand here. */
  loadC(id: string): { coreC: number; skinC: number } | undefined;
  /** Works out one standing bag after another, before a step must do it for all at once. */
  workOut(): Iterator<undefined>;
  /** Throws AppError 'not-found' for a batch unknown here. */
  look(batch: string, who: string, bags?: readonly number[]): Look;
  truthOf(batch: string): BagTruthNow[];
  /** Mean air of a room, and outside [°C]. */
  roomC(room: string): number;
  /** Whether a room's thermostat asks for cold, as a contact at its cooler tells. Throws for a room that is not of the farm. */
  coolerOn(room: string): boolean;
  /** What bags give to a room's air now [W], below 0 where they take from it. Throws as `coolerOn` does. */
  bagsW(room: string): number;
  /** True air where sensors of a shelf or room hang [°C]. Throws for a place that is not of the farm. */
  airC(at: string): number;
  outsideC(): number;
  /**
   * Sensors send at most this often from their next sending on, those that tell the air of a room at large once in
   * `roomAirSeconds`, which is the same when left out; for making history thinly.
   */
  setLeastSpacing(seconds: number, roomAirSeconds?: number): void;
  addFault(fault: RoomFault): void;
  faults(): readonly RoomFault[];
  snapshot(): WorldSnapshot;
}

export const createWorld = (make: { scenario: Scenario; seed: number; startAt: EpochMs }): World => {
  const farm = farmOf(make.scenario);
  return liveOn(make.scenario, farm, firstSnapshot(make.scenario, farm, make.seed, make.startAt));
};

/** Goes on from a snapshot as if nothing had happened in between. Throws when it is of another scenario. */
export function restoreWorld(scenario: Scenario, snapshot: WorldSnapshot): World {
  if (snapshot.version !== 2 || snapshot.scenario !== scenario.id)
    throw new AppError(
      'conflict',
      `This snapshot is of scenario ${snapshot.scenario} in form ${snapshot.version}, not of ${scenario.id} in form 2.`,
    );
  return liveOn(scenario, farmOf(scenario), structuredClone(snapshot));
}

function liveOn(scenario: Scenario, farm: FarmFile, state: WorldSnapshot): World {
  const { seed, startAt } = state;
  const places = placesOf(farm, seed);
  const weatherRandom = resumeRandom(state.weather.random);
  const rooms = new Map<string, Room>(
    farm.rooms.map(({ id }) => {
      const truth = roomTruthOf(scenario, farm, seed, id);
      return [id, createRoom(state.rooms[id]!, truth, scenario.climate, roomStepS)];
    }),
  );
  const firstRoom = farm.rooms[0]!.id;
  const airAt = (id: string): number => {
    const place = places.get(id);
    return place === undefined ? rooms.get(firstRoom)!.meanC() : rooms.get(place.room)!.temperatureAt(place);
  };
  const shelves = farm.rooms.flatMap(({ racks }) =>
    racks.flatMap((rack) => rack.shelves.map(({ id }) => id)),
  );
  for (const shelf of shelves) state.shelfAirC[shelf] ??= airAt(shelf);

  const population = createPopulation({
    farm,
    seed,
    stepS: roomStepS * stepsPerBagStep,
    records: state.batches,
    airC: (shelf) => (shelf === null ? undefined : state.shelfAirC[shelf]) ?? airAt(firstRoom),
  });

  const containers = new Map(farm.containers.map((container) => [container.id, container]));
  const carts = drawCart(createRandom(seedOf(seed, 'carts')));
  state.loads ??= [];
  const loads = new Map<string, HotLoad>(
    state.loads.map((load) => [load.id, createHotLoad(load, containers.get(load.container)!)]),
  );
  /** Core of the load in which a sensor's probe stands; undefined while it hangs on its cart. */
  const loadAtProbe = (sensor: string): number | undefined =>
    [...loads.values()].findLast(({ state: { probe } }) => probe === sensor)?.coreC();

  const surroundings = ({ id, at, inLoads }: Sensor): Surroundings => {
    const place = places.get(at)!;
    const room = rooms.get(place.room)!;
    return {
      temperatureC: () => room.temperatureAt(place),
      humidityPercent: () => room.humidityAt(place),
      coolerOn: () => (room.coolerOn() ? 1 : 0),
      probeC: () =>
        inLoads
          ? (loadAtProbe(id) ?? room.temperatureAt(besideCart))
          : (population.probeC(at) ?? room.temperatureAt(place)),
    };
  };
  const sensors = farm.sensors
    .filter(({ at }) => places.has(at))
    .map((spec) => {
      const random = createRandom(seedOf(seed, 'sensor', spec.id));
      const traits = drawTraits(spec, random);
      const around = surroundings(spec);
      // One that came to the farm after the snapshot speaks from now on.
      const kept = state.sensors[spec.id] ?? freshSensorState(spec, traits, around, state.now, random);
      return createSensor(spec, traits, kept, around, roomStepS);
    });
  const mute = (sensor: string, t: EpochMs) => {
    const hours = (t - startAt) / 3_600_000;
    return scenario.sensorFaults.some((f) => f.sensor === sensor && hours >= f.fromH && hours < f.toH);
  };
  const faults = () => [...scenario.roomFaults, ...state.extraFaults];

  /** Steps the hot loads of a room; what its layers and walls get, with what bags give [W]. */
  const stepLoads = (id: string, room: Room): { bagsW: number[]; wallsW: number } => {
    const bagsW = state.bagsW[id]!;
    let wallsW = 0;
    let airW = 0;
    for (const load of loads.values()) {
      if (load.state.room !== id) continue;
      const gave = load.step(room.temperatureAt(besideCart), room.wallC(), roomStepS);
      airW += gave.airW;
      wallsW += gave.wallW;
    }
    // A cart reaches to about two thirds of the height; its warm air rises from there by itself.
    const reached = Math.max(1, Math.round((2 / 3) * bagsW.length));
    return { bagsW: bagsW.map((w, layer) => (layer < reached ? w + airW / reached : w)), wallsW };
  };

  const stepBags = (t: EpochMs) => {
    for (const heats of Object.values(state.bagsW)) heats.fill(0);
    population.step(t, (shelf, heatW) => {
      const place = places.get(shelf ?? firstRoom) ?? places.get(firstRoom)!;
      const heats = state.bagsW[place.room]!;
      heats[Math.min(heats.length - 1, Math.floor(place.height * heats.length))]! += heatW;
    });
  };

  const step = () => {
    state.steps += 1;
    const t = startAt + state.steps * roomStepS * 1000;
    stepWeather(state.weather, scenario.climate, roomStepS, weatherRandom);
    const outside = outsideC(state.weather, scenario.climate, t);
    const ailing = faults();
    for (const [id, room] of rooms) {
      const ailments = ailmentsAt(ailing, id, startAt, t);
      room.step({ t, outsideC: outside, ailments, ...stepLoads(id, room) });
    }
    const keep = Math.exp(-roomStepS / filmSmoothingS);
    for (const shelf of shelves) {
      const airC = airAt(shelf);
      state.shelfAirC[shelf] = airC + keep * (state.shelfAirC[shelf]! - airC);
    }
    for (const sensor of sensors) sensor.feel(t);
    if (state.steps % stepsPerBagStep === 0) stepBags(t);
    const due = state.waiting.filter((event) => event.t <= t);
    if (due.length === 0) return;
    state.waiting = state.waiting.filter((event) => event.t > t);
    for (const event of due) population.apply(event, t);
  };

  const tellsRoomAir = ({ at, channels }: Sensor): boolean =>
    rooms.has(at) && channels.some(({ quantity }) => quantity === 'temperature');
  const leastSpacingS = (sensor: Sensor): number =>
    tellsRoomAir(sensor) ? (state.roomAirSpacingS ?? state.leastSpacingS) : state.leastSpacingS;

  /** Sendings up to `t`, inclusive, in order of time and then of the farm file. */
  const send = (t: EpochMs, into: SensorMessage[]) => {
    const from = into.length;
    for (const sensor of sensors)
      while (sensor.nextAt() <= t) {
        const silent = mute(sensor.spec.id, sensor.nextAt());
        const messages = sensor.send(leastSpacingS(sensor.spec));
        if (!silent) into.push(...messages);
      }
    const sorted = into.splice(from).sort((a, b) => a.t - b.t);
    into.push(...sorted);
  };

  return {
    farm,
    scenario,
    startAt,
    now: () => state.now,
    stepTo(t) {
      if (!(t >= state.now))
        throw new AppError(
          'out-of-range',
          `The simulated farm is at ${state.now} and cannot go back to ${t}.`,
        );
      const messages: SensorMessage[] = [];
      for (;;) {
        const nextStep = startAt + (state.steps + 1) * roomStepS * 1000;
        if (nextStep > t) break;
        send(nextStep - 1, messages);
        step();
      }
      send(t, messages);
      state.now = t;
      return messages;
    },
    apply(event) {
      if (event.t > state.now) state.waiting.push(event);
      else population.apply(event, state.now);
    },
    bringIn({ id, room, container, count, startC, probe }) {
      const kind = containers.get(container);
      if (kind === undefined || !rooms.has(room))
        throw new AppError(
          'not-found',
          `The simulated farm has no room '${room}' or container '${container}'.`,
        );
      const random = createRandom(seedOf(seed, 'load', id));
      const ofKind = createRandom(seedOf(seed, 'recipe', container));
      const fresh = freshLoad({ id, room, container: kind, count, startC }, carts, ofKind, random);
      const own = farm.sensors.find(({ at, inLoads }) => at === room && inLoads === true)?.id ?? null;
      loads.set(id, createHotLoad({ ...fresh, probe: probe === undefined ? own : probe }, kind));
    },
    putProbe(id, probe) {
      const load = loads.get(id);
      if (load !== undefined) load.state.probe = probe;
    },
    takeAway: (id) => void loads.delete(id),
    loadC(id) {
      const load = loads.get(id);
      return load && { coreC: load.coreC(), skinC: load.skinC() };
    },
    look: (batch, who, bags) => population.look(batch, who, state.now, bags),
    workOut: population.workOut,
    truthOf: (batch) => population.truthOf(batch),
    roomC: (room) => rooms.get(room)!.meanC(),
    coolerOn(room) {
      const of = rooms.get(room);
      if (of === undefined) throw new AppError('not-found', `The simulated farm has no room '${room}'.`);
      return of.coolerOn();
    },
    bagsW(room) {
      const heats = state.bagsW[room];
      if (heats === undefined) throw new AppError('not-found', `The simulated farm has no room '${room}'.`);
      return heats.reduce((sum, heatW) => sum + heatW, 0);
    },
    airC(at) {
      if (!places.has(at)) throw new AppError('not-found', `The simulated farm has no place '${at}'.`);
      return airAt(at);
    },
    outsideC: () => outsideC(state.weather, scenario.climate, state.now),
    setLeastSpacing(seconds, roomAirSeconds = seconds) {
      state.leastSpacingS = seconds;
      state.roomAirSpacingS = roomAirSeconds;
    },
    addFault(fault) {
      state.extraFaults.push(fault);
    },
    faults,
    snapshot: () => ({
      ...structuredClone(state),
      weather: { ...state.weather, random: weatherRandom.state() },
      rooms: Object.fromEntries([...rooms].map(([id, room]) => [id, room.save()])),
      sensors: Object.fromEntries(sensors.map((sensor) => [sensor.spec.id, sensor.save()])),
      batches: population.save(),
      loads: [...loads.values()].map((load) => structuredClone(load.state)),
    }),
  };
}
