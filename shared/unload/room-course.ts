import type { Load } from '../heat/load.ts';
import { aroundLoadC, loadInput, ownGains, roomRun } from '../room/model.ts';
import type { RoomParams } from '../room/params.ts';

/** Loads that stand in a room; `at` counts in seconds from the start of the course. */
export interface ComingLoad {
  load: Load;
  atS: number;
  /** Radiation against that of its film standing free: less where a fan blows. */
  radiantFactor: number;
  /**
   * It stood there before and gives what heat is left in it, but takes none from a warmer room: it may be carried
   * off any time, and nobody is to count on it for cooling. Unless so, it is a body like any other.
   */
  onlyGives?: boolean;
}

/** What a course runs through. */
export interface CourseSpec {
  room: RoomParams;
  airC: number;
  structureC: number;
  /** What the cooler gives at first, `RoomRun.used`; unless given, what keeps the room as it is. */
  used?: number | undefined;
  /** Lengths of its steps [s]; loads come in at the beginning of one. */
  steps: readonly number[];
  /** Of each step: outside air [°C], and whether lamps are on and people about. */
  outsideC: Float64Array;
  working: Uint8Array;
  loads: readonly ComingLoad[];
}

/** Air and structure [°C] and what the cooler gave, after each step; the first entries are those at the start. */
export interface RoomCourse {
  airC: Float64Array;
  structureC: Float64Array;
  used: Float64Array;
}

/** Loads as they stand in a room during one step. */
function createStand(room: RoomParams) {
  const coming: ComingLoad[] = [];
  const skins: { radiantShare: number; skinC: number }[] = [];
  const heatOf: ((aroundC: number) => number)[] = [];
  const state = { airC: 0, structureC: 0 };
  /** What they give to air and structure in the last step asked for [W]. */
  const given = { airW: 0, structureW: 0 };
  const around = (airC: number, index: number): number => {
    state.airC = airC;
    return aroundLoadC(room, state, skins[index]!.radiantShare);
  };
  const add = (loadW: number, index: number): void => {
    const { heatW, structureW } = loadInput(room, loadW, skins[index]!, state);
    given.airW += heatW;
    given.structureW += structureW;
  };
  return {
    given,
    comes(load: ComingLoad): void {
      coming.push(load);
    },
    isEmpty: () => coming.length === 0,
    begin(airC: number, structureC: number, dtS: number): void {
      state.structureC = structureC;
      for (let index = 0; index < coming.length; index++) {
        const { load, radiantFactor } = coming[index]!;
        skins[index] = { radiantShare: radiantFactor * load.radiantShare(airC), skinC: load.skinC() };
        heatOf[index] = load.heatOf(dtS);
      }
    },
    tries(airC: number): void {
      given.airW = 0;
      given.structureW = 0;
      for (let index = 0; index < coming.length; index++) {
        const heatW = heatOf[index]!(around(airC, index));
        if (heatW > 0 || coming[index]!.onlyGives !== true) add(heatW, index);
      }
    },
    takes(airC: number, dtS: number): void {
      given.airW = 0;
      given.structureW = 0;
      for (let index = 0; index < coming.length; index++) {
        const { load, onlyGives } = coming[index]!;
        const aroundC = around(airC, index);
        // What takes no heat stands still: what it did not take it cannot give back.
        if (onlyGives === true && heatOf[index]!(aroundC) <= 0) continue;
        add(load.step(aroundC, dtS), index);
      }
    },
  };
}

/**
 * A room and its hot loads together. The heat that a load gives depends on the air that it warms, so each step
 * is solved for the air at its end: two trials and the limit to which they tend (Aitken 1926), which is exact
 * while the thermostat stays on one branch. So a load of any size cannot make it swing.
 * @param each called after each step, when loads have moved on
 */
export function runRoom(spec: CourseSpec, each?: (step: number) => void): RoomCourse {
  const { room, steps, outsideC, working } = spec;
  const airC = new Float64Array(steps.length + 1);
  const structureC = new Float64Array(steps.length + 1);
  const used = new Float64Array(steps.length + 1);
  airC[0] = spec.airC;
  structureC[0] = spec.structureC;
  used[0] = spec.used ?? 0;
  const waiting = [...spec.loads].sort((a, b) => a.atS - b.atS);
  const stand = createStand(room);
  const gains = [ownGains(room, false), ownGains(room, true)] as const;
  let elapsedS = 0;
  let runS = steps[0] ?? 60;
  let run = roomRun(room, spec, runS);

  for (let step = 0; step < steps.length; step++) {
    const dtS = steps[step]!;
    if (dtS !== runS) {
      run = roomRun(room, run, dtS);
      runS = dtS;
    }
    while (waiting[0] !== undefined && waiting[0].atS <= elapsedS + 0.5) stand.comes(waiting.shift()!);
    const own = gains[working[step] === 1 ? 1 : 0];
    const outC = outsideC[step]!;
    if (stand.isEmpty()) run.step(outC, own.airW, own.wallW, 1);
    else {
      const { airC: fromAirC, structureC: fromStructureC, used: fromUsed } = run;
      const advance = (): number => {
        if (step === 0) run = roomRun(room, spec, dtS);
        run.airC = fromAirC;
        run.structureC = fromStructureC;
        if (step > 0) run.used = fromUsed;
        run.step(outC, own.airW + stand.given.airW, own.wallW + stand.given.structureW, 1);
        return run.airC;
      };
      stand.begin(fromAirC, fromStructureC, dtS);
      stand.tries(fromAirC);
      const first = advance();
      stand.tries(first);
      const second = advance();
      const turn = fromAirC - 2 * first + second;
      const endC = Math.abs(turn) < 1e-9 ? second : fromAirC - (first - fromAirC) ** 2 / turn;
      // The trials bracket the answer: outside them rounding or a change of branch spoke.
      const between = endC >= Math.min(fromAirC, first) && endC <= Math.max(fromAirC, first);
      stand.takes(between ? endC : (first + second) / 2, dtS);
      advance();
    }
    elapsedS += dtS;
    airC[step + 1] = run.airC;
    structureC[step + 1] = run.structureC;
    used[step + 1] = run.used;
    each?.(step);
  }
  return { airC, structureC, used };
}
