import type { EpochMs } from '../../shared/time.ts';
import { type Random, resumeRandom } from '../random.ts';
import type { RoomAilments } from './faults.ts';
import { type LayerState, stepLayers } from './layers.ts';
import { relativeHumidity, stepMoisture } from './moisture.ts';
import type { RoomTruth } from './room-truth.ts';
import { stepThermostat, type ThermostatState } from './thermostat.ts';
import { type Climate, sunHour } from './weather.ts';

export interface RoomState {
  air: LayerState;
  thermostat: ThermostatState;
  /** Part of full cooling or heating that the unit has built up, 0-1. */
  output: number;
  gPerKg: number;
  doorOpenForS: number;
  random: number[];
}

/** How the air at one place differs from the layer's mean. */
export interface AirPlace {
  /** 0 at the floor, 1 at the ceiling. */
  height: number;
  /** Standing difference [K], and the part of the cooler's draught that reaches it (0-1). */
  offsetK: number;
  draught: number;
  /** Nearness to the door, 0-1. */
  door: number;
}

export interface Room {
  /** The state to put away; a room made from it goes on as if nothing had happened. */
  save(): RoomState;
  /** One step; `bagsW` is what bags and hot loads give to each layer of air, `wallsW` what they radiate to the walls. */
  step(surroundings: {
    t: EpochMs;
    outsideC: number;
    ailments: RoomAilments;
    bagsW: readonly number[];
    wallsW?: number;
  }): void;
  /** Walls and racks [°C]. */
  wallC(): number;
  temperatureAt(place: AirPlace): number;
  humidityAt(place: AirPlace): number;
  /** Mean over the layers [°C]. */
  meanC(): number;
  /** Whether the thermostat asks for cold; so it is with a cooler that has failed, too. */
  coolerOn(): boolean;
}

const airJPerKgK = 1_006;
/** A unit builds up its output over about this long. */
const buildUpS = 150;
const peopleW = 110;

export function freshRoomState(truth: RoomTruth, seedState: number[]): RoomState {
  const tempC = (truth.thermostat.coolAboveC + truth.thermostat.heatBelowC) / 2;
  return {
    air: { airC: Array.from({ length: truth.layers }, () => tempC), structureC: tempC - 0.5 },
    thermostat: { mode: 'idle', inModeS: 3_600, sensedC: tempC },
    output: 0,
    gPerKg: 8.5,
    doorOpenForS: 0,
    random: seedState,
  };
}

export function createRoom(state: RoomState, truth: RoomTruth, climate: Climate, stepS: number): Room {
  const random: Random = resumeRandom(state.random);
  const airKg = truth.volumeM3 * 1.19;
  const spec = {
    layers: truth.layers,
    airJPerK: 2.2 * airKg * airJPerKgK,
    structureJPerK: truth.structureJPerK,
    airToStructureWPerK: truth.airToStructureWPerK,
    structureToOutsideWPerK: truth.structureToOutsideWPerK,
  };

  /** People come and go in working hours; a door stays open for about half a minute. */
  const openDoor = (t: EpochMs, stuck: boolean): number => {
    if (stuck) return stepS;
    const hour = sunHour(t, climate);
    if (hour >= 7.5 && hour < 17.5 && random.chance((truth.doorsPerHour * stepS) / 3_600))
      state.doorOpenForS += random.logNormal(30, 0.6);
    const open = Math.min(stepS, state.doorOpenForS);
    state.doorOpenForS -= open;
    return open;
  };

  const unitHeat = (outsideC: number, ailments: RoomAilments): number => {
    const { mode } = state.thermostat;
    const wanted = mode === 'idle' ? 0 : 1;
    state.output = wanted + (state.output - wanted) * Math.exp(-stepS / buildUpS);
    if (mode === 'heating') return state.output * truth.heatingW * ailments.heatingLeft;
    if (mode === 'idle') return 0;
    // A condenser in hot air carries less away.
    const derated = Math.max(0.4, 1 - 0.012 * (outsideC - 25));
    return -state.output * truth.coolingW * derated * ailments.coolingLeft;
  };

  const temperatureAt = ({ height, offsetK, draught, door }: AirPlace): number => {
    const { airC } = state.air;
    const at = Math.min(airC.length - 1, Math.max(0, height * airC.length - 0.5));
    const low = Math.floor(at);
    const layer = airC[low]! + (at - low) * ((airC[low + 1] ?? airC[low]!) - airC[low]!);
    const { mode } = state.thermostat;
    const push = mode === 'cooling' ? -0.8 : mode === 'heating' ? 0.6 : 0;
    return layer + offsetK + draught * push * state.output + (state.doorOpenForS > 0 ? -0.5 * door : 0);
  };

  return {
    save: () => structuredClone({ ...state, random: random.state() }),
    step({ t, outsideC, ailments, bagsW, wallsW = 0 }) {
      const { air } = state;
      const openS = openDoor(t, ailments.doorOpen);
      const doorKgPerS = (truth.doorKgPerS * openS) / stepS;
      const leakKgPerS = (airKg * truth.airChangesPerHour) / 3_600;
      const corridorC = 0.6 * truth.corridorC + 0.4 * outsideC;
      const freshKgPerS = doorKgPerS + leakKgPerS;
      const freshC = (doorKgPerS * corridorC + leakKgPerS * outsideC) / freshKgPerS;

      const sensed = air.airC[truth.thermostatLayer]! + ailments.thermostatOffK;
      state.thermostat = stepThermostat(state.thermostat, truth.thermostat, sensed, stepS);
      const unitW = unitHeat(outsideC, ailments);
      const hour = sunHour(t, climate);
      const indoorsW =
        truth.standingW * (1 - truth.standingInWalls) +
        (hour >= 8 && hour < 17 ? truth.lightsW : 0) +
        (openS > 0 ? peopleW : 0);

      const heatW = bagsW.map((fromBags, layer) => {
        // The unit blows in under the ceiling; everything else is spread.
        const ofUnit = layer === truth.layers - 1 ? 0.55 : 0.45 / (truth.layers - 1);
        return fromBags + unitW * ofUnit + indoorsW / truth.layers;
      });
      const running = state.thermostat.mode === 'idle' ? 0 : state.output;
      const mixingWPerK = truth.mixingWPerK * (1 + 6 * running);
      stepLayers(
        air,
        spec,
        {
          outsideC,
          freshC,
          freshWPerK: freshKgPerS * airJPerKgK,
          mixingWPerK,
          heatW,
          structureW: truth.standingW * truth.standingInWalls + wallsW,
        },
        stepS,
      );

      const cools = state.thermostat.mode === 'cooling' && ailments.coolingLeft > 0.05;
      state.gPerKg = stepMoisture(
        state.gPerKg,
        {
          airKg,
          freshKgPerS,
          freshGPerKg: climate.moistureGPerKg,
          sourceGPerS: truth.evaporationGPerS,
          coilKgPerS: cools ? state.output * truth.coilKgPerS : 0,
          coilC: truth.coilC,
        },
        stepS,
      );
    },
    wallC: () => state.air.structureC,
    temperatureAt,
    humidityAt: (place) => relativeHumidity(state.gPerKg, temperatureAt(place)),
    meanC: () => state.air.airC.reduce((sum, tempC) => sum + tempC, 0) / state.air.airC.length,
    coolerOn: () => state.thermostat.mode === 'cooling',
  };
}
