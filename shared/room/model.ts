import { clamp, inRange } from '../stats/range.ts';
import type { RoomParams } from './params.ts';

/** Air and structure (walls, racks, what stands on them) [°C]. Plain data: store it as it is. */
export interface RoomState {
  airC: number;
  structureC: number;
}

/** What acts on a room during a step, each taken as constant. */
export interface RoomInput {
  outsideC: number;
  /** Set free into the air by loads and bags [W]. */
  heatW: number;
  /** Radiated to the structure by loads [W]; 0 unless given. */
  structureW?: number;
  /** Lamps are on and people are about; no unless given. */
  working?: boolean;
  /** Part of the cooler's capacity that is to be had: 0 off, 1 as usual. */
  cooling?: number;
}

/** Air coolers are rated at some outside temperature and give about 1 % less for each kelvin above (common practice, no source). */
const ratedAtC = 25;
const deratingPerK = 0.01;
/** Longest step that is taken at once [s]; longer ones are divided. */
const longestStepS = 60;
/** Indoor air that can be [°C]; heat beyond it is an error of the caller's, not a prediction. */
const possibleC = { low: -40, high: 90 } as const;

/** Cooler's capacity when it is this warm outside [W], never below four tenths of the rated. */
export const capacityW = (params: RoomParams, outsideC: number): number =>
  params.coolingW * clamp(1 - deratingPerK * (outsideC - ratedAtC), 0.4, 1.2);

/**
 * Heat that the thermostat takes out of the room at an air temperature [W], below zero where it heats. A
 * switching thermostat counts by its mean over a cycle: nothing at `coolAboveC`, all of the capacity `bandK`
 * above it, straight between; the heater likewise below `heatBelowC`.
 */
export function thermostatW(params: RoomParams, airC: number, outsideC: number, cooling = 1): number {
  const cool = clamp((airC - params.coolAboveC) / params.bandK, 0, 1);
  const heat = clamp((params.heatBelowC - airC) / params.bandK, 0, 1);
  return cooling * cool * capacityW(params, outsideC) - heat * params.heatingW;
}

/** What the whole room loses for each kelvin that it is warmer than outside, when it has settled [W/K]. */
export function lossWPerK(params: RoomParams): number {
  const { airToStructureWPerK: inner, structureToOutsideWPerK: outer } = params;
  return params.leakWPerK + (inner * outer) / (inner + outer);
}

/** Steps a room by `dtS`; for many steps of one length and one set of parameters. */
export type RoomStepper = (state: RoomState, input: RoomInput) => RoomState;

/**
 * Backward Euler over both nodes with the thermostat in it, at most a minute at a time: for
 * `C dT/dt = UA (To - T) + heat - thermostat` and a structure behind the air it can neither overshoot nor run
 * away, whatever the step, and has each room end where its heat balance does.
 * @param dtS 0 to 3,600 s @throws AppError 'out-of-range' for another.
 */
export function roomStepper(params: RoomParams, dtS: number): RoomStepper {
  inRange('step of a room', dtS, 0, 3_600, 's');
  const parts = Math.max(1, Math.ceil(dtS / longestStepS));
  const store = dtS / parts;
  const air = params.airJPerK / store;
  const structure = params.structureJPerK / store;
  const { airToStructureWPerK: inner, structureToOutsideWPerK: outer, leakWPerK: leak } = params;
  // The structure's balance solved for its temperature and put into the air's: slope T = right - thermostat(T).
  const share = inner / (structure + inner + outer);
  const slope = air + leak + inner * (1 - share);
  const { coolAboveC, heatBelowC, bandK } = params;

  return (state, input) => {
    if (dtS === 0) return state;
    const { outsideC, structureW = 0, cooling = 1 } = input;
    const gainW = params.gainW + (input.working ? params.workGainW : 0) + input.heatW;
    const coolW = cooling * capacityW(params, outsideC);
    let { airC, structureC } = state;
    for (let part = 0; part < parts; part++) {
      const storedW = structure * structureC + outer * outsideC + structureW;
      const right = air * airC + leak * outsideC + gainW + share * storedW;
      // The thermostat is a rising line between two levels, so exactly one of these is the answer.
      const idleC = right / slope;
      if (idleC > coolAboveC) {
        const perK = coolW / bandK;
        const within = (right + perK * coolAboveC) / (slope + perK);
        airC = within <= coolAboveC + bandK ? within : (right - coolW) / slope;
      } else if (idleC < heatBelowC) {
        const perK = params.heatingW / bandK;
        const within = (right + perK * heatBelowC) / (slope + perK);
        airC = within >= heatBelowC - bandK ? within : (right + params.heatingW) / slope;
      } else airC = idleC;
      airC = clamp(airC, possibleC.low, possibleC.high);
      structureC = (storedW + inner * airC) / (structure + inner + outer);
    }
    return { airC, structureC };
  };
}

/** One step of `dtS` seconds; see `roomStepper`. */
export const stepRoom = (params: RoomParams, state: RoomState, input: RoomInput, dtS: number): RoomState =>
  roomStepper(params, dtS)(state, input);

/** A room whose structure has settled behind air of a temperature that it held for days. */
export function settledRoom(params: RoomParams, airC: number, outsideC: number): RoomState {
  const { airToStructureWPerK: inner, structureToOutsideWPerK: outer } = params;
  return { airC, structureC: (inner * airC + outer * outsideC) / (inner + outer) };
}

/**
 * Structure behind air that was measured: where it stands after a step of `dtS` in which the air was `airC`
 * (exact). Followed over the last two days it is the state that a prediction starts from.
 */
export function followStructure(
  params: RoomParams,
  structureC: number,
  { airC, outsideC, structureW = 0 }: { airC: number; outsideC: number; structureW?: number },
  dtS: number,
): number {
  const { airToStructureWPerK: inner, structureToOutsideWPerK: outer, structureJPerK } = params;
  const restC = (inner * airC + outer * outsideC + structureW) / (inner + outer);
  return restC + (structureC - restC) * Math.exp((-dtS * (inner + outer)) / structureJPerK);
}
