import type { FarmFile } from '../../shared/farm/schema.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { createRandom, type Random, seedOf } from '../random.ts';
import type { RoomFault } from '../room/faults.ts';
import type { SensorMessage } from '../sensor/sensor.ts';
import { createWorld, type World } from '../world.ts';
import { drawStrangeRoom, type StrangeRoom, strangeRoomId } from './strange-room.ts';

/** What one sensor said, as intake would store it. */
export interface StudyReading {
  /** `air.temperature`, `top.temperature` or `bottom.temperature`. */
  channel: string;
  t: EpochMs;
  tempC: number;
}

/** A stretch of the life of one room, with the truth beside what its sensors said. */
export interface RoomStretch {
  /** A farm of one room with one rack: sensor `air` in the room, probes `top` and `bottom` on the rack. */
  farm: FarmFile;
  room: string;
  /** The room's high limit in the farm file [°C]. */
  limitC: number;
  from: EpochMs;
  until: EpochMs;
  /** When the cooler fails; null in a stretch without a failure. */
  failsAt: EpochMs | null;
  /** Part of its capacity that is left to it, 0 to 0.2. */
  coolingLeft: number;
  /** First instant after the failure from which the air at the room's sensor stays above the limit for 10 min. */
  reachesLimitAt: EpochMs | null;
  /** True air at the room's sensor, each minute from `from` [°C]; no measuring error in it. */
  trueAirC: Float64Array;
  /** Each sensor about once a minute, in order of time, with noise, lag, steps, offset and drop-outs. */
  readings: StudyReading[];
}

export interface StudyOptions {
  /** How many stretches. */
  count: number;
  /** The same seed, the same stretches. */
  seed: number;
}

const firstDay = Date.UTC(2025, 2, 3);
const holdMinutes = 10;
/** How long a failure is followed: to the limit and half an hour more, or for this long. */
const followedMs = 14 * hourMs;
const afterLimitMinutes = 30;

/**
 * Cooler failures in rooms that nobody has seen: `daysBefore` ordinary days (2 unless given, at least 1)
 * of which something can be learnt, then at a random minute of the next day the cooler fails, wholly in
 * three of four rooms and to a fifth at most in the others. It ends half an hour after the limit is
 * reached, or 14 h after the failure where it never is. Parameters are drawn much wider than those of
 * the demo and no two rooms are alike. One stretch is made at a time, in about a tenth of a second.
 */
export function* coolingFailures(options: StudyOptions & { daysBefore?: number }): Generator<RoomStretch> {
  const daysBefore = Math.max(1, options.daysBefore ?? 2);
  for (let i = 0; i < options.count; i += 1) {
    const random = createRandom(seedOf(options.seed, 'failure', i));
    const strange = drawStrangeRoom(random);
    const failsInMin = Math.floor(random.between(daysBefore, daysBefore + 1) * 24 * 60);
    const coolingLeft = random.chance(0.75) ? 0 : random.between(0.02, 0.2);
    const failure: RoomFault = {
      room: strangeRoomId,
      what: 'cooling',
      left: coolingLeft,
      fromH: warmUpH + failsInMin / 60,
      toH: Number.POSITIVE_INFINITY,
      text: 'The cooler failed',
    };
    yield live(strange, [failure, ...doorsLeftOpen(random, daysBefore)], random, {
      minutes: failsInMin + followedMs / minuteMs,
      failsInMin,
      coolingLeft,
    });
  }
}

/**
 * Weeks in which nothing breaks, after `daysBefore` days of the same (none unless given): people come and go, lights go on, weather and thermostat do what they
 * do, and now and then a door is propped open for up to 20 min. The air never passes the limit.
 * What an alarm predicts here is false. One week is made at a time, in about a third of a second.
 */
export function* normalWeeks(options: StudyOptions & { daysBefore?: number }): Generator<RoomStretch> {
  const days = 7 + (options.daysBefore ?? 0);
  for (let made = 0, drawn = 0; made < options.count; drawn += 1) {
    const random = createRandom(seedOf(options.seed, 'normal', drawn));
    const strange = drawStrangeRoom(random);
    const week = live(strange, doorsLeftOpen(random, days), random, {
      minutes: (days * dayMs) / minuteMs,
      failsInMin: null,
      coolingLeft: 1,
    });
    // A door propped open on the hottest day can carry a room over: that week was not ordinary.
    if (week.trueAirC.some((airC) => airC > week.limitC)) continue;
    made += 1;
    yield week;
  }
}

/** The room settles for this long before anyone listens. */
const warmUpH = 12;

/** About twice a week somebody props the door open to clean or carry. */
function doorsLeftOpen(random: Random, days: number): RoomFault[] {
  return Array.from({ length: random.poisson((2 * days) / 7) }, () => {
    const fromH = warmUpH + 24 * random.below(days) + random.between(8, 17);
    return {
      room: strangeRoomId,
      what: 'door-open',
      fromH,
      toH: fromH + random.between(3, 20) / 60,
      text: 'The door was propped open',
    };
  });
}

interface Course {
  minutes: number;
  failsInMin: number | null;
  coolingLeft: number;
}

function live(strange: StrangeRoom, roomFaults: RoomFault[], random: Random, course: Course): RoomStretch {
  const { limitC } = strange;
  const { minutes, failsInMin, coolingLeft } = course;
  const startAt = firstDay - warmUpH * hourMs;
  const world: World = createWorld({
    scenario: { ...strange.scenario, roomFaults },
    seed: seedOf(random.below(2 ** 31)),
    startAt,
  });
  world.stepTo(firstDay);

  const trueAirC = new Float64Array(minutes + 1);
  const readings: StudyReading[] = [];
  let above = 0;
  let reachedMin: number | null = null;
  let last = minutes;
  for (let minute = 0; minute <= last; minute += 1) {
    for (const message of world.stepTo(firstDay + minute * minuteMs)) readings.push(readingOf(message));
    const airC = world.airC(strangeRoomId);
    trueAirC[minute] = airC;
    const counts = failsInMin === null || minute >= failsInMin;
    above = counts && airC > limitC ? above + 1 : 0;
    if (above < holdMinutes || reachedMin !== null) continue;
    reachedMin = minute - holdMinutes + 1;
    if (failsInMin !== null) last = Math.min(minutes, reachedMin + afterLimitMinutes);
  }
  const at = (minute: number | null) => (minute === null ? null : firstDay + minute * minuteMs);
  return {
    farm: world.farm,
    room: strangeRoomId,
    limitC,
    from: firstDay,
    until: firstDay + last * minuteMs,
    failsAt: at(failsInMin),
    coolingLeft,
    reachesLimitAt: at(reachedMin),
    trueAirC: trueAirC.subarray(0, last + 1),
    readings,
  };
}

/** Sensors of a study send plain numbers in °C; their topic is `study/` and the sensor's id. */
const readingOf = ({ topic, payload, t }: SensorMessage): StudyReading => ({
  channel: `${topic.slice(topic.indexOf('/') + 1)}.temperature`,
  t,
  tempC: Number(payload),
});
