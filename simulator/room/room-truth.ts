import type { Random } from '../random.ts';
import type { ThermostatSpec } from './thermostat.ts';

/** A room as it is built; a scenario gives one to each room of its farm. */
export interface RoomTruth {
  volumeM3: number;
  layers: number;
  structureJPerK: number;
  airToStructureWPerK: number;
  structureToOutsideWPerK: number;
  airChangesPerHour: number;
  mixingWPerK: number;
  corridorC: number;
  /** Air that an open door lets through [kg/s]. */
  doorKgPerS: number;
  doorsPerHour: number;
  coolingW: number;
  heatingW: number;
  /** Fans, pumps and a warm neighbour [W], and lights in working hours [W]. */
  standingW: number;
  /** Part of the standing heat that comes through walls and warm housings, not straight into the air. */
  standingInWalls: number;
  lightsW: number;
  evaporationGPerS: number;
  coilKgPerS: number;
  coilC: number;
  thermostat: ThermostatSpec;
  thermostatLayer: number;
}

/** A spawn room of a given floor area kept between two temperatures, in middling make. */
export function middlingRoom(floorAreaM2: number, heatBelowC: number, coolAboveC: number): RoomTruth {
  const volumeM3 = floorAreaM2 * 2.6;
  const wallM2 = 2 * floorAreaM2 + 4 * Math.sqrt(floorAreaM2) * 2.6;
  return {
    volumeM3,
    layers: 4,
    structureJPerK: 55_000 * wallM2,
    airToStructureWPerK: 5 * wallM2,
    structureToOutsideWPerK: 0.45 * wallM2,
    airChangesPerHour: 0.5,
    mixingWPerK: 9 * floorAreaM2,
    corridorC: 20,
    doorKgPerS: 0.12,
    doorsPerHour: 3,
    coolingW: 120 * floorAreaM2,
    heatingW: 110 * floorAreaM2,
    standingW: 14 * floorAreaM2,
    standingInWalls: 0.7,
    lightsW: 7 * floorAreaM2,
    evaporationGPerS: 0.0012 * floorAreaM2,
    coilKgPerS: 0.12,
    coilC: 9,
    thermostat: { coolAboveC, heatBelowC, halfBandK: 0.4, leastOffS: 240, leastOnS: 180, lagS: 180 },
    thermostatLayer: 2,
  };
}

/** The room as it really came out: wider than anyone would guess from its floor area. */
export function scatterRoom(truth: RoomTruth, random: Random): RoomTruth {
  return {
    ...truth,
    structureJPerK: truth.structureJPerK * random.logNormal(1, 0.35),
    airToStructureWPerK: truth.airToStructureWPerK * random.logNormal(1, 0.2),
    structureToOutsideWPerK: truth.structureToOutsideWPerK * random.logNormal(1, 0.3),
    airChangesPerHour: truth.airChangesPerHour * random.logNormal(1, 0.4),
    mixingWPerK: truth.mixingWPerK * random.logNormal(1, 0.4),
    coolingW: truth.coolingW * random.logNormal(1, 0.15),
    heatingW: truth.heatingW * random.logNormal(1, 0.15),
    thermostat: { ...truth.thermostat, halfBandK: random.between(0.25, 0.6), lagS: random.between(100, 400) },
  };
}
