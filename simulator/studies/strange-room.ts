import type { Random } from '../random.ts';
import { middlingRoom, type RoomTruth } from '../room/room-truth.ts';
import type { Climate } from '../room/weather.ts';
import type { Scenario } from '../scenarios/scenario.ts';

/** A room nobody has seen, and the limit that its owner set. */
export interface StrangeRoom {
  scenario: Scenario;
  /** High limit of the farm file [°C]. */
  limitC: number;
}

/** Id of the only room; its sensors are `air` and the probes `top` and `bottom` of its one rack. */
export const strangeRoomId = 'room';

const farmYamlOf = (floorAreaM2: number, lowC: number, limitC: number) => `
site: { id: study, name: Study, timeZone: UTC }
rooms:
  - id: ${strangeRoomId}
    name: Room
    floorAreaM2: ${floorAreaM2}
    limits: { temperature: { low: ${lowC}, high: ${limitC} } }
    racks:
      - id: R
        shelves: [{ id: R1 }, { id: R2 }, { id: R3 }, { id: R4 }]
sensors:
  - { id: air, topic: study/air, decoder: plain, at: ${strangeRoomId}, channels: [{ quantity: temperature, unit: degC }] }
  - { id: top, topic: study/top, decoder: plain, at: R1, channels: [{ quantity: temperature, unit: degC }] }
  - { id: bottom, topic: study/bottom, decoder: plain, at: R4, channels: [{ quantity: temperature, unit: degC }] }
`;

const round = (value: number, step: number) => Math.round(value / step) * step;

/** Heat that the cooler must carry off on the hottest hour of an ordinary year [W]. */
function hardestW(truth: RoomTruth, climate: Climate, setC: number): number {
  const hottestC = climate.meanC + climate.dayHalfRangeK + 2.5 * climate.weatherSdK;
  const leakWPerK = (truth.volumeM3 * 1.19 * 1_006 * truth.airChangesPerHour) / 3_600;
  const gain = (truth.structureToOutsideWPerK + leakWPerK) * Math.max(0, hottestC - setC);
  return truth.standingW + truth.lightsW + gain;
}

/**
 * Draws a room far more widely than the rooms of Fernhollow: light or heavy, tight or leaky, a cooler
 * with little or much to spare, hot or cold country, another thermostat. Every one keeps its band while
 * its cooler works, with between `spare.low` and `spare.high` times what the hottest hour asks of it.
 */
export function drawStrangeRoom(random: Random, spare = { low: 1.7, high: 3.5 }): StrangeRoom {
  const floorAreaM2 = Math.round(random.between(7, 45));
  const coolAboveC = round(random.between(18, 25), 0.5);
  const heatBelowC = coolAboveC - round(random.between(0.8, 2), 0.1);
  const middling = middlingRoom(floorAreaM2, heatBelowC, coolAboveC);
  const wide = (value: number, sigma: number) => value * random.logNormal(1, sigma);
  const climate: Climate = {
    meanC: random.between(12, 28),
    dayHalfRangeK: random.between(2, 8),
    weatherSdK: random.between(0.5, 3.5),
    weatherHours: random.between(15, 70),
    moistureGPerKg: random.between(5, 12),
    sunOffsetH: 0,
  };
  const built: RoomTruth = {
    ...middling,
    structureJPerK: wide(middling.structureJPerK, 0.6),
    airToStructureWPerK: wide(middling.airToStructureWPerK, 0.35),
    structureToOutsideWPerK: wide(middling.structureToOutsideWPerK, 0.5),
    airChangesPerHour: wide(middling.airChangesPerHour, 0.6),
    mixingWPerK: wide(middling.mixingWPerK, 0.5),
    // From a few lamps to a row of bottles that are all running through.
    standingW: floorAreaM2 * random.between(15, 90),
    standingInWalls: random.between(0.3, 0.9),
    lightsW: floorAreaM2 * random.between(2, 12),
    corridorC: random.between(14, 26),
    doorsPerHour: random.between(0.5, 6),
    doorKgPerS: random.between(0.06, 0.2),
    thermostat: {
      ...middling.thermostat,
      leastOffS: random.between(120, 420),
      leastOnS: random.between(90, 300),
    },
    thermostatLayer: random.below(4),
  };
  const coolingW = hardestW(built, climate, coolAboveC) * random.between(spare.low, spare.high);
  const limitC = coolAboveC + round(random.between(2, 5), 0.5);
  return {
    limitC,
    scenario: {
      id: 'study',
      name: 'A room that nobody has seen',
      text: 'Drawn for measuring.',
      days: 7,
      farmYaml: farmYamlOf(floorAreaM2, heatBelowC - 4, limitC),
      climate,
      rooms: { [strangeRoomId]: { heatBelowC, coolAboveC, change: { ...built, coolingW } } },
      roomFaults: [],
      sensorFaults: [],
    },
  };
}
