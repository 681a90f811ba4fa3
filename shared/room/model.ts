import { clamp, inRange } from '../stats/range.ts';
import type { RoomParams } from './params.ts';

/** Air and structure (walls, racks, what stands on them) [°C]. Plain data: store it as it is. */
export interface RoomState {
  airC: number;
  structureC: number;
  /** Part of the cooler's capacity in use, 0 to 1 (of the heater's: below zero); that of a settled room unless given. */
  used?: number;
}

/** Air coolers are rated at some outside temperature and give about 1 % less for each kelvin above (common practice, no source). */
const ratedAtC = 25;
const deratingPerK = 0.01;
/** Longest step that is taken at once [s]; longer ones are divided. */
const longestStepS = 60;
/**
 * From first warmth to its full output a thermostat with its cooler takes about so long: it feels the air late, lets
 * the cooler rest, and that builds up [s]. Set on simulated rooms.
 */
export const rampS = 720;
/** Air and walls that can be [°C]; heat beyond it is an error of the caller's, not a prediction. */
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

/** A room that is stepped in place, for thousands of steps of one length. */
export interface RoomRun extends RoomState {
  used: number;
  /** Mean of the air over the last step [°C]. */
  meanC: number;
  /**
   * One step. Outside air [°C] and both heats [W] are taken as constant in it: set free into the air, and radiated
   * to the structure, each with the room's own gains in it (`ownGains`). `cooling` is the part of the cooler's
   * capacity that is to be had, 0 off, 1 as usual. With `given` it gives that part of its capacity, 0 to 1, whatever
   * the thermostat would have it do.
   */
  step(outsideC: number, airW: number, structureW: number, cooling: number, given?: number): void;
}

/**
 * Backward Euler over both nodes with the thermostat in it, at most a minute at a time: for
 * `C dT/dt = UA (To - T) + heat - thermostat` and a structure behind the air it can neither overshoot nor run
 * away, whatever the step, and a room ends where its heat balance does.
 * @param dtS above 0, up to 3,600 s @throws AppError 'out-of-range' for another.
 */
export function roomRun(
  params: RoomParams,
  state: RoomState,
  dtS: number,
  longestS: number = longestStepS,
): RoomRun {
  inRange('step of a room', dtS, 1e-3, 3_600, 's');
  const parts = Math.max(1, Math.ceil(dtS / longestS));
  const air = (params.airJPerK * parts) / dtS;
  const structure = (params.structureJPerK * parts) / dtS;
  const { airToStructureWPerK: inner, structureToOutsideWPerK: outer, leakWPerK: leak } = params;
  // The structure's balance solved for its temperature and put into the air's: slope T = right - thermostat(T).
  const share = inner / (structure + inner + outer);
  const slope = air + leak + inner * (1 - share);
  const { coolAboveC, heatBelowC, bandK, heatingW } = params;
  const heatPerK = heatingW / bandK;
  const most = dtS / parts / rampS;
  let known = state.used !== undefined;
  const { airW: ownW } = ownGains(params);

  return {
    airC: state.airC,
    structureC: state.structureC,
    used: state.used ?? 0,
    meanC: state.airC,
    step(outsideC, airW, structureW, cooling, given) {
      const wholeW = cooling * capacityW(params, outsideC);
      if (!known) {
        // What is left over in a room that stands still with its own gains is what its cooler takes.
        const left = ownW + leak * (outsideC - this.airC) + inner * (this.structureC - this.airC);
        this.used = clamp(left / Math.max(wholeW, 1), 0, 1);
        known = true;
      }
      let sumC = 0;
      for (let part = 0; part < parts; part++) {
        sumC += this.airC / 2;
        const storedW = structure * this.structureC + outer * outsideC + structureW;
        const takenW = given === undefined ? 0 : given * wholeW;
        const right = air * this.airC + leak * outsideC + airW - takenW + share * storedW;
        // The thermostat is a rising line between two levels, so exactly one of these is the answer.
        let airC = right / slope;
        if (given !== undefined && (given > 0 || airC >= heatBelowC)) this.used = given;
        else if (airC > coolAboveC) {
          // A cooler that is just called upon gives no more than it could build up.
          const reach = Math.min(1, Math.max(0, this.used) + most);
          airC = (right + (wholeW / bandK) * coolAboveC) / (slope + wholeW / bandK);
          if (airC > coolAboveC + reach * bandK) airC = (right - reach * wholeW) / slope;
          this.used = clamp((airC - coolAboveC) / bandK, 0, reach);
        } else if (airC < heatBelowC) {
          airC = (right + heatPerK * heatBelowC) / (slope + heatPerK);
          if (airC < heatBelowC - bandK) airC = (right + heatingW) / slope;
          this.used = -clamp((heatBelowC - airC) / bandK, 0, 1);
        } else this.used = 0;
        this.airC = clamp(airC, possibleC.low, possibleC.high);
        sumC += this.airC / 2;
        const structureC = (storedW + inner * this.airC) / (structure + inner + outer);
        this.structureC = clamp(structureC, possibleC.low, possibleC.high);
      }
      this.meanC = sumC / parts;
    },
  };
}

/** Gains of the room's own, into the air and into walls and racks [W]. */
export const ownGains = (params: RoomParams, working = false): { airW: number; wallW: number } => {
  const wallW = params.gainInWalls * params.gainW;
  return { airW: params.gainW - wallW + (working ? params.workGainW : 0), wallW };
};

/** Most of a load's heat that can go past the air. */
const mostRadiant = 0.95;

/** A skin that is hardly warmer than what is about it sheds by its radiant share alone [K]. */
const leastOverK = 0.5;

/**
 * How the heat of a hot load [W] comes to air and structure: into each by how much warmer the load's skin is than
 * that, so that cool walls draw more of it and warm air takes less. `radiantShare` is what the skin would radiate
 * were both of one temperature (`Load.radiantShare`), 0 to 1; `skinC` is its mean (`Load.skinC`).
 */
export function loadInput(
  params: Pick<RoomParams, 'radiantFactor'>,
  loadW: number,
  { radiantShare, skinC }: { radiantShare: number; skinC: number },
  { airC, structureC }: Pick<RoomState, 'airC' | 'structureC'>,
): { heatW: number; structureW: number } {
  const share = Math.min(mostRadiant, params.radiantFactor * radiantShare);
  const overK = skinC - airC - share * (structureC - airC);
  const overWallK = Math.abs(overK) < leastOverK ? overK : skinC - structureC;
  const structureW = overK === 0 ? share * loadW : clamp((share * overWallK) / overK, 0, 1) * loadW;
  return { heatW: loadW - structureW, structureW };
}

/**
 * What a hot load sheds its heat to [°C]: air, and walls by the part that it radiates. It is taken as the one
 * temperature about it.
 */
export const aroundLoadC = (params: RoomParams, state: RoomState, radiantShare: number): number =>
  state.airC + Math.min(mostRadiant, params.radiantFactor * radiantShare) * (state.structureC - state.airC);

/** A room whose structure has settled behind air of a temperature that it held for days. */
export function settledRoom(params: RoomParams, airC: number, outsideC: number): RoomState {
  const { airToStructureWPerK: inner, structureToOutsideWPerK: outer } = params;
  const { wallW } = ownGains(params);
  return { airC, structureC: (inner * airC + outer * outsideC + wallW) / (inner + outer) };
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
  const { wallW } = ownGains(params);
  const restC = (inner * airC + outer * outsideC + wallW + structureW) / (inner + outer);
  return restC + (structureC - restC) * Math.exp((-dtS * (inner + outer)) / structureJPerK);
}
